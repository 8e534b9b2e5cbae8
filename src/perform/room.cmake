stillhand_embed(${room_target} patterns_txt ${CMAKE_SOURCE_DIR}/data/patterns.txt)
