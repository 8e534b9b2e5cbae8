stillhand_embed(${room_target} finger_spans_tsv ${CMAKE_SOURCE_DIR}/data/finger_spans.tsv)
stillhand_embed(${room_target} line_spans_tsv ${CMAKE_SOURCE_DIR}/data/line_spans.tsv)
