# The pages: the desk's (web/desk) and the student's (web/student), both built by web/build.mjs into ${web_out}.
# npm installs what package-lock.json names, and nothing of it runs by itself.
option(STILLHAND_WEB "Build the pages (needs node and npm)" ON)
set(web ${CMAKE_SOURCE_DIR}/web)
if(STILLHAND_WEB)
  find_program(NODE node REQUIRED)
  find_program(NPM npm REQUIRED)
  set(web_out ${CMAKE_BINARY_DIR}/web)
  set(web_installed ${web}/node_modules/.package-lock.json)
  add_custom_command(
    OUTPUT ${web_installed}
    COMMAND ${NPM} ci --prefix ${web} --ignore-scripts --no-audit --no-fund --loglevel=error
    COMMAND ${CMAKE_COMMAND} -E touch ${web_installed}
    DEPENDS ${web}/package-lock.json
    COMMENT "Installing what the pages are built from")
  file(GLOB_RECURSE web_sources CONFIGURE_DEPENDS ${web}/desk/* ${web}/student/* ${web}/look/*)
  add_custom_command(
    OUTPUT ${web_out}/index.html ${web_out}/desk.js ${web_out}/desk.css
      ${web_out}/student.html ${web_out}/student.js ${web_out}/student.css
    COMMAND ${NODE} ${web}/build.mjs ${web_out}
    DEPENDS ${web_installed} ${web}/build.mjs ${web_sources}
    COMMENT "Building the pages")
  # Two rooms take files of it in: it is built once, before both.
  add_custom_target(pages DEPENDS ${web_out}/index.html)
else()
  set(web_out ${web}/without)
  add_custom_target(pages)
endif()
