stillhand_embed(${room_target} key_profiles_tsv ${CMAKE_SOURCE_DIR}/data/key_profiles.tsv)
