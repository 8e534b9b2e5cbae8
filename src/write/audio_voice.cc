#include "write/audio_voice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numbers>
#include <optional>
#include <string_view>

#include "base/process.h"
#include "write/audio_synth.h"
#include "write/loudness.h"

namespace stillhand::write {
namespace {

using perform::Performance;

// One more whenever the same words sound or stand otherwise.
constexpr int kWayOfCalling = 1;

constexpr const char* kProgram = "espeak-ng";
constexpr const char* kVoice = "en-gb";
constexpr const char* kWordsPerMinute = "190";  // brisk and still clear (our judgement)
constexpr double kQuiet = 0.02;                 // of the highest sample: the silence around words
// A vowel has most of its strength below this, a hiss next to none (vowels: first formants of 250 to 850 Hz, G. E. Peterson
// & H. L. Barney, JASA 24, 1952).
constexpr double kVowelHertz = 900;
constexpr double kVowelPart = 0.35;  // of the loudest vowel (our judgement)
constexpr int kWindow = kSampleRate / 100;
// Between the end of a call and the chord it calls, or the next call.
constexpr double kGapSeconds = 0.03;
constexpr int kReach = 16;  // samples to each side when a sample between them is worked out

// ---- the sound that the program gives

std::uint32_t number_at(std::string_view bytes, std::size_t at, std::size_t size) {
  std::uint32_t out = 0;
  for (std::size_t i = 0; i < size; ++i)
    out |= std::uint32_t{static_cast<unsigned char>(bytes[at + i])} << (8 * i);
  return out;
}

struct Wav {
  int rate = 0;
  std::vector<float> samples;
};

// 16 bits, one channel; the lengths in the header are not to be trusted, for it was written before the sound.
std::optional<Wav> read_wav(std::string_view bytes) {
  constexpr std::size_t kHeader = 44;
  if (bytes.size() < kHeader || !bytes.starts_with("RIFF") || bytes.substr(36, 4) != "data")
    return std::nullopt;
  if (number_at(bytes, 22, 2) != 1 || number_at(bytes, 34, 2) != 16) return std::nullopt;
  Wav out;
  out.rate = static_cast<int>(number_at(bytes, 24, 4));
  if (out.rate < 8000 || out.rate > kSampleRate) return std::nullopt;
  for (std::size_t at = kHeader; at + 1 < bytes.size(); at += 2)
    out.samples.push_back(static_cast<float>(static_cast<std::int16_t>(number_at(bytes, at, 2))) /
                          32768.0F);
  return out;
}

// At 48 kHz: each sample from its neighbours, weighted by sin(x)/x under a raised cosine.
std::vector<float> resampled(const Wav& wav) {
  const double step = static_cast<double>(wav.rate) / kSampleRate;
  const auto have = static_cast<std::int64_t>(wav.samples.size());
  const auto frames = static_cast<std::int64_t>(static_cast<double>(have) / step);
  std::vector<float> out;
  out.reserve(static_cast<std::size_t>(frames));
  for (std::int64_t i = 0; i < frames; ++i) {
    const double at = static_cast<double>(i) * step;
    const auto left = static_cast<std::int64_t>(at);
    double sum = 0;
    for (std::int64_t k = std::max<std::int64_t>(0, left - kReach + 1);
         k <= std::min(have - 1, left + kReach); ++k) {
      const double x = at - static_cast<double>(k);
      const double turn = std::numbers::pi * x;
      const double weight = std::abs(turn) < 1e-9 ? 1 : std::sin(turn) / turn;
      sum +=
          wav.samples[static_cast<std::size_t>(k)] * weight * (0.5 + 0.5 * std::cos(turn / kReach));
    }
    out.push_back(static_cast<float>(sum));
  }
  return out;
}

void trim(std::vector<float>& sound) {
  float highest = 0;
  for (const float sample : sound) highest = std::max(highest, std::abs(sample));
  const auto is_heard = [&](float sample) { return std::abs(sample) > kQuiet * highest; };
  const auto last = std::find_if(sound.rbegin(), sound.rend(), is_heard);
  sound.erase(last.base(), sound.end());
  sound.erase(sound.begin(), std::find_if(sound.begin(), sound.end(), is_heard));
}

std::int64_t first_vowel(const std::vector<float>& sound) {
  // Twice a filter of the first order.
  const double keep = std::exp(-2 * std::numbers::pi * kVowelHertz / kSampleRate);
  double once = 0;
  double twice = 0;
  std::vector<double> strength;  // of each window
  double sum = 0;
  for (std::size_t i = 0; i < sound.size(); ++i) {
    once = keep * once + (1 - keep) * sound[i];
    twice = keep * twice + (1 - keep) * once;
    sum += twice * twice;
    if ((i + 1) % kWindow != 0) continue;
    strength.push_back(std::sqrt(sum));
    sum = 0;
  }
  if (strength.empty()) return 0;
  const double enough = kVowelPart * *std::max_element(strength.begin(), strength.end());
  const auto found = std::find_if(strength.begin(), strength.end(),
                                  [enough](double each) { return each >= enough; });
  return (found - strength.begin()) * kWindow;
}

// "A" alone is read as the article.
std::string for_the_program(const std::string& text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    out += (out.empty() ? "" : " ") + (word == "A" ? std::string("[[eI]]") : word);
    at = end + 1;
  }
  return out;
}

Result<SpokenWords> spoken(const std::string& text) {
  const auto bytes = output_of(
      {kProgram, "-v", kVoice, "-s", kWordsPerMinute, "--stdout", "--", for_the_program(text)});
  if (!bytes) return tl::unexpected(bytes.error());
  const auto wav = read_wav(*bytes);
  SpokenWords out;
  if (wav) out.sound = resampled(*wav);
  trim(out.sound);
  if (out.sound.empty()) {
    return failure(Fault::file, kProgram, fmt::format("says nothing for \"{}\"", text),
                   "leave the spoken calls out, or install the Debian package espeak-ng anew");
  }
  out.vowel = first_vowel(out.sound);
  return out;
}

tl::unexpected<Diagnostics> not_there() {
  return failure(Fault::file, kProgram, "the voice that speaks the calls is not installed",
                 "install the Debian package espeak-ng, or leave the spoken calls out");
}

// ---- when

struct Piece {
  double from;
  double to;
  std::string says;
};

}  // namespace

double SpokenWords::seconds() const { return static_cast<double>(sound.size()) / kSampleRate; }

Result<Voice> Voice::speaking(const std::set<std::string>& texts) {
  const auto about = output_of({kProgram, "--version"});
  if (!about) return not_there();
  Voice out;
  // "eSpeak NG text-to-speech: 1.51  Data at: …"
  const std::size_t colon = about->find(": ");
  const std::size_t begin = colon == std::string::npos ? 0 : colon + 2;
  out.version_ = fmt::format("eSpeak NG {}; {} {}; calls {}",
                             about->substr(begin, about->find_first_of(" \n", begin) - begin),
                             kVoice, kWordsPerMinute, kWayOfCalling);
  LoudnessMeter meter(kSampleRate);
  for (const std::string& text : texts) {
    auto words = spoken(text);
    if (!words) return tl::unexpected(words.error());
    std::vector<float> stereo;
    for (const float sample : words->sound) stereo.insert(stereo.end(), kChannels, sample);
    meter.add(stereo);
    out.said_[text] = std::move(*words);
  }
  out.lufs_ = meter.measured().lufs;
  return out;
}

std::vector<SpokenCall> placed(const std::vector<teach::Call>& calls, const Voice& voice,
                               const Performance& performance, int tempo_percent) {
  std::vector<Piece> taken;
  const auto place = [&](const teach::Call& call) {
    const SpokenWords& words = voice.words(call.says);
    const double vowel = static_cast<double>(words.vowel) / kSampleRate;
    const double due = perform::seconds(performance, call.due, tempo_percent);
    double from = perform::seconds(performance, call.at, tempo_percent) - vowel;
    if (call.kind == teach::CallKind::chord) {
      from = std::min(from, due - kGapSeconds - words.seconds());
      if (!taken.empty()) from = std::max(from, taken.back().to + kGapSeconds);
    }
    from = std::max(from, 0.0);
    const double to = from + words.seconds();
    if (call.kind == teach::CallKind::chord && to > due) return;
    const bool is_free = std::none_of(taken.begin(), taken.end(), [&](const Piece& other) {
      return from < other.to + kGapSeconds && other.from < to + kGapSeconds;
    });
    if (is_free) taken.push_back({from, to, call.says});
  };
  for (const teach::CallKind kind : {teach::CallKind::chord, teach::CallKind::count}) {
    for (const teach::Call& call : calls) {
      if (call.kind == kind) place(call);
    }
  }
  std::sort(taken.begin(), taken.end(),
            [](const Piece& a, const Piece& b) { return a.from < b.from; });
  std::vector<SpokenCall> out;
  for (const Piece& piece : taken) out.push_back({piece.from, piece.says});
  return out;
}

VoiceTrack::VoiceTrack(const std::vector<SpokenCall>& calls, const Voice& voice, double lufs) {
  for (const SpokenCall& call : calls)
    placed_.push_back({std::llround(call.start * kSampleRate), &voice.words(call.says).sound});
  if (std::isfinite(voice.lufs()) && std::isfinite(lufs))
    gain_ = static_cast<float>(std::pow(10.0, (lufs - voice.lufs()) / 20));
}

void VoiceTrack::mix_into(std::int64_t first, std::span<float> interleaved_stereo) const {
  const std::int64_t frames = static_cast<std::int64_t>(interleaved_stereo.size()) / kChannels;
  for (const Placed& call : placed_) {
    const auto length = static_cast<std::int64_t>(call.sound->size());
    const std::int64_t from = std::max(call.frame, first);
    const std::int64_t to = std::min(call.frame + length, first + frames);
    for (std::int64_t frame = from; frame < to; ++frame) {
      const float sample = gain_ * (*call.sound)[static_cast<std::size_t>(frame - call.frame)];
      const auto at = static_cast<std::size_t>(frame - first) * kChannels;
      interleaved_stereo[at] += sample;
      interleaved_stereo[at + 1] += sample;
    }
  }
}

}  // namespace stillhand::write
