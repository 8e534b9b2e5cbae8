// The commands of the program, in the order in which help shows them.
#pragma once

#include <memory>
#include <vector>

#include "cli/command.h"

namespace stillhand::cli {

std::unique_ptr<Command> lesson_command();
std::unique_ptr<Command> sheet_command();
std::unique_ptr<Command> plan_command();
std::unique_ptr<Command> bind_command();
std::unique_ptr<Command> desk_command();
std::unique_ptr<Command> arrange_command();
std::unique_ptr<Command> check_command();
std::unique_ptr<Command> import_command();
std::unique_ptr<Command> keys_command();
std::unique_ptr<Command> difficulty_command();
std::unique_ptr<Command> manner_command();
std::unique_ptr<Command> extras_command();
std::unique_ptr<Command> patterns_command();

inline std::vector<std::unique_ptr<Command>> all_commands() {
  std::vector<std::unique_ptr<Command>> all;
  all.push_back(lesson_command());
  all.push_back(sheet_command());
  all.push_back(plan_command());
  all.push_back(bind_command());
  all.push_back(desk_command());
  all.push_back(arrange_command());
  all.push_back(check_command());
  all.push_back(import_command());
  all.push_back(keys_command());
  all.push_back(difficulty_command());
  all.push_back(manner_command());
  all.push_back(extras_command());
  all.push_back(patterns_command());
  return all;
}

}  // namespace stillhand::cli
