find_package(PkgConfig REQUIRED)
pkg_check_modules(SHEET REQUIRED IMPORTED_TARGET cairo pangocairo pangoft2 fontconfig)
target_link_libraries(${room_target} PRIVATE PkgConfig::SHEET nlohmann_json::nlohmann_json)
stillhand_embed(${room_target} fonts_conf ${CMAKE_SOURCE_DIR}/data/fonts.conf)
