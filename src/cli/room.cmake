find_package(CLI11 REQUIRED)
target_link_libraries(${room_target} ${scope} CLI11::CLI11 nlohmann_json::nlohmann_json)
target_compile_definitions(${room_target} PRIVATE STILLHAND_VERSION="${PROJECT_VERSION}")
if(STILLHAND_TESTS)
  # The end-to-end tests call the program itself.
  cmake_language(DEFER CALL add_dependencies cli_test stillhand)
endif()
