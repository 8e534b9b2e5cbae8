stillhand_embed(${room_target} finger_spans_tsv ${CMAKE_SOURCE_DIR}/data/finger_spans.tsv)
