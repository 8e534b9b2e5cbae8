target_link_libraries(${room_target} PUBLIC nlohmann_json::nlohmann_json GTest::gtest)
# With sanitizers g++ 12 takes the temporaries of its own <regex> for uninitialised (GCC bug 105562).
set_source_files_properties(${dir}/network_files.cc PROPERTIES COMPILE_OPTIONS
  "$<$<CXX_COMPILER_ID:GNU>:-Wno-maybe-uninitialized>")
