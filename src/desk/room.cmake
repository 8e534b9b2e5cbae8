find_package(PkgConfig REQUIRED)
find_package(OpenSSL REQUIRED)
find_package(Threads REQUIRED)
pkg_check_modules(HTTP REQUIRED IMPORTED_TARGET cpp-httplib)
target_link_libraries(${room_target} PUBLIC nlohmann_json::nlohmann_json PRIVATE PkgConfig::HTTP OpenSSL::SSL
  OpenSSL::Crypto Threads::Threads)
stillhand_embed(${room_target} demo_chart ${CMAKE_SOURCE_DIR}/examples/lamps-along-the-quay.stillhand)

# The page, from cmake/web.cmake.
add_dependencies(${room_target} pages)
stillhand_embed(${room_target} desk_page ${web_out}/index.html)
stillhand_embed(${room_target} desk_script ${web_out}/desk.js)
stillhand_embed(${room_target} desk_style ${web_out}/desk.css)
if(STILLHAND_TESTS)
  # Its answers are compared with what the program prints.
  cmake_language(DEFER CALL add_dependencies desk_test stillhand)
endif()
stillhand_embed(${room_target} desk_icon ${CMAKE_SOURCE_DIR}/web/desk/desk.svg)
if(STILLHAND_TESTS AND STILLHAND_WEB)
  add_test(NAME page_types COMMAND ${NODE} ${web}/node_modules/typescript/bin/tsc --noEmit -p ${web})
  add_test(NAME desk_page COMMAND ${NODE} ${web}/test/all.mjs)
  set_tests_properties(desk_page PROPERTIES LABELS browser RUN_SERIAL ON SKIP_RETURN_CODE 77
    ENVIRONMENT "STILLHAND=${CMAKE_BINARY_DIR}/stillhand")
endif()
