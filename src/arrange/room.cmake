target_link_libraries(${room_target} PRIVATE nlohmann_json::nlohmann_json)
stillhand_embed(${room_target} manner_home_json ${CMAKE_SOURCE_DIR}/data/manners/home.json)
stillhand_embed(${room_target} manner_closest_json ${CMAKE_SOURCE_DIR}/data/manners/closest.json)
stillhand_embed(${room_target} extras_tsv ${CMAKE_SOURCE_DIR}/data/extras.tsv)
