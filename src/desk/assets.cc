#include "desk/assets.h"

#include "desk/embedded.h"

namespace stillhand::desk {

const std::vector<Asset>& built_in_assets() {
  static const std::vector<Asset> all{
      {"/", "text/html; charset=utf-8", data::desk_page},
      {"/desk.js", "text/javascript; charset=utf-8", data::desk_script},
      {"/desk.css", "text/css; charset=utf-8", data::desk_style},
      {"/desk.svg", "image/svg+xml", data::desk_icon},
  };
  return all;
}

}  // namespace stillhand::desk
