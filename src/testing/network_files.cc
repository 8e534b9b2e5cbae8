#include "testing/network_files.h"

#include <fmt/format.h>
#include <stdlib.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <memory>
#include <regex>
#include <sstream>
#include <stdexcept>

namespace stillhand::testing {
namespace {

using arrange::Edge;
using arrange::Network;

// More than any assignment costs.
std::int64_t upper_bound(const Network& net) {
  std::int64_t sum = 1;
  for (const auto& row : net.unary) sum += *std::max_element(row.begin(), row.end());
  for (const Edge& e : net.edges) sum += *std::max_element(e.costs.begin(), e.costs.end());
  return sum;
}

std::string output_of(const std::string& command) {
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  if (!pipe) throw std::runtime_error("cannot run " + command);
  std::string text;
  std::array<char, 4096> part{};
  for (std::size_t n = 0; (n = std::fread(part.data(), 1, part.size(), pipe.get())) > 0;)
    text.append(part.data(), n);
  return text;
}

}  // namespace

std::string wcsp_text(const Network& net, const std::string& name) {
  std::string out;
  const auto end = std::back_inserter(out);
  std::size_t widest = 0;
  for (const auto& row : net.unary) widest = std::max(widest, row.size());
  fmt::format_to(end, "{} {} {} {} {}\n", name, net.unary.size(), widest,
                 net.unary.size() + net.edges.size(), upper_bound(net));
  for (const auto& row : net.unary) fmt::format_to(end, "{} ", row.size());
  out += '\n';
  for (std::size_t i = 0; i < net.unary.size(); ++i) {
    fmt::format_to(end, "1 {} 0 {}\n", i, net.unary[i].size());
    for (std::size_t a = 0; a < net.unary[i].size(); ++a)
      fmt::format_to(end, "{} {}\n", a, net.unary[i][a]);
  }
  for (const Edge& e : net.edges) {
    fmt::format_to(end, "2 {} {} 0 {}\n", e.u, e.v, e.costs.size());
    const std::size_t width = net.unary[e.v].size();
    for (std::size_t k = 0; k < e.costs.size(); ++k)
      fmt::format_to(end, "{} {} {}\n", k / width, k % width, e.costs[k]);
  }
  return out;
}

std::string lp_text(const Network& net) {
  std::string out = "Minimize\n cost:\n";
  const auto end = std::back_inserter(out);
  for (std::size_t i = 0; i < net.unary.size(); ++i) {
    for (std::size_t a = 0; a < net.unary[i].size(); ++a)
      fmt::format_to(end, " + {} x{}_{}\n", net.unary[i][a], i, a);
  }
  for (std::size_t k = 0; k < net.edges.size(); ++k) {
    const Edge& e = net.edges[k];
    const std::size_t width = net.unary[e.v].size();
    for (std::size_t c = 0; c < e.costs.size(); ++c)
      fmt::format_to(end, " + {} y{}_{}_{}\n", e.costs[c], k, c / width, c % width);
  }
  out += "Subject To\n";
  for (std::size_t i = 0; i < net.unary.size(); ++i) {
    fmt::format_to(end, " one{}:", i);
    for (std::size_t a = 0; a < net.unary[i].size(); ++a) fmt::format_to(end, " + x{}_{}\n", i, a);
    out += " = 1\n";
  }
  for (std::size_t k = 0; k < net.edges.size(); ++k) {
    const Edge& e = net.edges[k];
    for (std::size_t a = 0; a < net.unary[e.u].size(); ++a) {
      fmt::format_to(end, " u{}_{}:", k, a);
      for (std::size_t b = 0; b < net.unary[e.v].size(); ++b)
        fmt::format_to(end, " + y{}_{}_{}\n", k, a, b);
      fmt::format_to(end, " - x{}_{} = 0\n", e.u, a);
    }
    for (std::size_t b = 0; b < net.unary[e.v].size(); ++b) {
      fmt::format_to(end, " v{}_{}:", k, b);
      for (std::size_t a = 0; a < net.unary[e.u].size(); ++a)
        fmt::format_to(end, " + y{}_{}_{}\n", k, a, b);
      fmt::format_to(end, " - x{}_{} = 0\n", e.v, b);
    }
  }
  out += "Binaries\n";
  for (std::size_t i = 0; i < net.unary.size(); ++i) {
    for (std::size_t a = 0; a < net.unary[i].size(); ++a) fmt::format_to(end, " x{}_{}\n", i, a);
  }
  out += "End\n";
  return out;
}

bool is_installed(const std::string& program) {
  const char* path = getenv("PATH");
  std::istringstream folders(path == nullptr ? "" : path);
  for (std::string folder; std::getline(folders, folder, ':');) {
    if (access((folder + "/" + program).c_str(), X_OK) == 0) return true;
  }
  return false;
}

std::optional<OutsideOptimum> run_toulbar2(const std::filesystem::path& wcsp, int seconds) {
  const std::string text =
      output_of(fmt::format("toulbar2 {} -timer={} 2>&1 </dev/null", wcsp.string(), seconds));
  static const std::regex line(R"(Optimum: (\d+) .*and ([0-9.e+-]+) seconds)");
  std::smatch found;
  if (!std::regex_search(text, found, line)) return std::nullopt;
  return OutsideOptimum{std::stoll(found[1]), std::stod(found[2])};
}

std::optional<OutsideOptimum> run_cbc(const std::filesystem::path& lp, int seconds) {
  // The gaps are set to nothing: by default cbc stops within a ten-thousandth of a per cent.
  const std::string text = output_of(fmt::format(
      "cbc {} sec {} ratioGap 0 allowableGap 0 solve quit 2>&1 </dev/null", lp.string(), seconds));
  if (text.find("Optimal solution found") == std::string::npos) return std::nullopt;
  static const std::regex objective(R"(Objective value:\s+([0-9.e+-]+))");
  static const std::regex time(R"(Total time \(CPU seconds\):\s+([0-9.]+))");
  std::smatch found;
  if (!std::regex_search(text, found, objective)) return std::nullopt;
  OutsideOptimum optimum{std::llround(std::stod(found[1])), 0};
  if (std::regex_search(text, found, time)) optimum.seconds = std::stod(found[1]);
  return optimum;
}

TemporaryFile::TemporaryFile(const std::string& text, const std::string& ending) {
  std::string name =
      (std::filesystem::temp_directory_path() / ("stillhand-XXXXXX" + ending)).string();
  const int file = mkstemps(name.data(), static_cast<int>(ending.size()));
  if (file < 0) throw std::runtime_error("cannot make a temporary file");
  close(file);
  path_ = name;
  std::ofstream out(path_);
  out << text;
  if (!out.flush()) throw std::runtime_error("cannot write " + name);
}

TemporaryFile::~TemporaryFile() {
  std::error_code ignored;
  std::filesystem::remove(path_, ignored);
}

}  // namespace stillhand::testing
