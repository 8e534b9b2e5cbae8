find_package(Threads REQUIRED)
target_link_libraries(${room_target} ${scope} Threads::Threads)
