# Turns IN into a C++ source OUT that defines stillhand::data::NAME. Hex bytes keep any file content legal.
file(READ "${IN}" hex HEX)
string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1'," bytes "${hex}")
string(LENGTH "${hex}" digits)
math(EXPR size "${digits} / 2")
file(WRITE "${OUT}" "#include <string_view>\nnamespace stillhand::data {\nnamespace {\nconst char kBytes[] = {${bytes}'\\0'};\n}\nextern const std::string_view ${NAME};\nconst std::string_view ${NAME}(kBytes, ${size});\n}\n")
