// One function for each route of pure_routes().
#pragma once

#include "desk/answer.h"

namespace stillhand::desk {

Answer arrange_answer(const Json& body, const Shelf& shelf);
Answer lesson_answer(const Json& body, const Shelf& shelf);
Answer prices_answer(const Json& body, const Shelf& shelf);
Answer pin_answer(const Json& body, const Shelf& shelf);
Answer unpin_answer(const Json& body, const Shelf& shelf);
Answer format_answer(const Json& body, const Shelf& shelf);
Answer transpose_answer(const Json& body, const Shelf& shelf);
Answer import_answer(const Json& body, const Shelf& shelf);
Answer keys_answer(const Json& body, const Shelf& shelf);
Answer extras_answer(const Json& body, const Shelf& shelf);
Answer accept_extra_answer(const Json& body, const Shelf& shelf);
Answer words_answer(const Json& body, const Shelf& shelf);
Answer performance_answer(const Json& body, const Shelf& shelf);
Answer sheet_answer(const Json& body, const Shelf& shelf);

}  // namespace stillhand::desk
