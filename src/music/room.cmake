stillhand_embed(${room_target} chords_tsv ${CMAKE_SOURCE_DIR}/data/chords.tsv)
