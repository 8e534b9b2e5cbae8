find_package(PkgConfig REQUIRED)
target_link_libraries(${room_target} PUBLIC nlohmann_json::nlohmann_json)
