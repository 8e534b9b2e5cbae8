// The secret that a page must show with every request: 256 random bits in hexadecimal.
//
//   Result<std::string> token = kept_token(state_folder());
//
// Kept in a file that only its owner can read, so that a page that is open goes on after the desk was started again.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"

namespace stillhand::desk {

// $XDG_STATE_HOME/stillhand or $HOME/.local/state/stillhand (XDG Base Directory Specification 0.8); empty where neither is set.
std::filesystem::path state_folder();

// Made at the first call. A file that others could read, or that holds no token, is replaced.
Result<std::string> kept_token(const std::filesystem::path& folder);

// So many random bytes, two hexadecimal figures each. Fails, Fault::file, where the system gives none.
Result<std::string> random_hex(std::size_t bytes);

// Takes the same time wherever they differ.
bool is_same_token(std::string_view a, std::string_view b);

}  // namespace stillhand::desk
