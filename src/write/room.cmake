set(test_shards 4)
find_package(PkgConfig REQUIRED)
pkg_check_modules(SHEET REQUIRED IMPORTED_TARGET cairo pangocairo pangoft2 fontconfig)
target_link_libraries(${room_target} PRIVATE PkgConfig::SHEET nlohmann_json::nlohmann_json)
stillhand_embed(${room_target} fonts_conf ${CMAKE_SOURCE_DIR}/data/fonts.conf)
# The student's page, from cmake/web.cmake.
add_dependencies(${room_target} pages)
stillhand_embed(${room_target} student_page ${web_out}/student.html)
stillhand_embed(${room_target} student_script ${web_out}/student.js)
stillhand_embed(${room_target} student_style ${web_out}/student.css)
# sndfile: the tests decode with it.
pkg_check_modules(SOUND REQUIRED IMPORTED_TARGET fluidsynth flac libopusenc opus libebur128 glib-2.0 sndfile)
target_link_libraries(${room_target} PRIVATE PkgConfig::SOUND)
pkg_check_modules(PUGIXML REQUIRED IMPORTED_TARGET pugixml)
target_link_libraries(${room_target} PRIVATE PkgConfig::PUGIXML)
pkg_check_modules(QPDF REQUIRED IMPORTED_TARGET libqpdf)
target_link_libraries(${room_target} PRIVATE PkgConfig::QPDF)
# Clang 14 cannot read qpdf's headers as C++20 with the library of GCC 12; and qpdf's shared pointers are the standard ones.
foreach(source pdf_tags.cc pdf_reading_test.cc)
  set_source_files_properties(${CMAKE_SOURCE_DIR}/src/write/${source} PROPERTIES COMPILE_OPTIONS
    "-std=c++17;-DPOINTERHOLDER_TRANSITION=4")
endforeach()
