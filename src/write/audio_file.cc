#include "write/audio_file.h"

#include <fcntl.h>
#include <sndfile.h>
#include <unistd.h>

#include <cerrno>
#include <string>
#include <utility>

#include "write/audio_synth.h"

namespace stillhand::write {
namespace {

constexpr const char* kDoing = "write the track";

// 0, or the errno value of what stopped it.
int write_all(int descriptor, const char* bytes, std::size_t size) {
  while (size > 0) {
    const ssize_t put = ::write(descriptor, bytes, size);
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) return errno;
    bytes += put;
    size -= static_cast<std::size_t>(put);
  }
  return 0;
}

}  // namespace

Spool::Spool(int descriptor, std::filesystem::path target)
    : descriptor_(descriptor), target_(std::move(target)) {}

Spool::Spool(Spool&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)), target_(std::move(other.target_)) {}

Spool::~Spool() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

Result<Spool> Spool::beside(const std::filesystem::path& target) {
  std::filesystem::path name = target;
  name += ".spool";
  const PendingFile pending(name);  // removes the name, not the open file
  const int fd = ::open(pending.path().c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  if (fd < 0) return system_failure(kDoing, target, errno);
  return Spool(fd, target);
}

Result<void> Spool::write(std::span<const float> samples) {
  const int error =
      write_all(descriptor_, reinterpret_cast<const char*>(samples.data()), samples.size_bytes());
  if (error != 0) return system_failure(kDoing, target_, error);
  return {};
}

Result<void> Spool::read(std::int64_t first, std::span<float> samples) const {
  char* bytes = reinterpret_cast<char*>(samples.data());
  std::size_t missing = samples.size_bytes();
  off_t offset = static_cast<off_t>(first) * static_cast<off_t>(sizeof(float));
  while (missing > 0) {
    const ssize_t got = ::pread(descriptor_, bytes, missing, offset);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return system_failure(kDoing, target_, got < 0 ? errno : EIO);
    bytes += got;
    offset += got;
    missing -= static_cast<std::size_t>(got);
  }
  return {};
}

// libsndfile with our own writing below it, so that the system's reason of a failure is not lost.
struct FlacFile::Encoder {
  int descriptor = -1;
  int error = 0;  // the first errno value
  SNDFILE* file = nullptr;

  Encoder() = default;
  Encoder(const Encoder&) = delete;
  Encoder& operator=(const Encoder&) = delete;
  ~Encoder() { close(); }

  void note(int system_error) {
    if (error == 0) error = system_error;
  }

  void close() {
    if (file != nullptr && sf_close(std::exchange(file, nullptr)) != 0) note(EIO);
    if (descriptor >= 0 && ::close(std::exchange(descriptor, -1)) != 0) note(errno);
  }

  static Encoder& self(void* user) { return *static_cast<Encoder*>(user); }

  static sf_count_t length(void* user) {
    const off_t here = ::lseek(self(user).descriptor, 0, SEEK_CUR);
    const off_t end = ::lseek(self(user).descriptor, 0, SEEK_END);
    ::lseek(self(user).descriptor, here, SEEK_SET);
    return end;
  }
  static sf_count_t seek(sf_count_t offset, int whence, void* user) {
    return ::lseek(self(user).descriptor, offset, whence);
  }
  static sf_count_t read(void* bytes, sf_count_t size, void* user) {
    return ::read(self(user).descriptor, bytes, static_cast<std::size_t>(size));
  }
  static sf_count_t write(const void* bytes, sf_count_t size, void* user) {
    Encoder& me = self(user);
    if (me.error != 0) return 0;
    me.note(
        write_all(me.descriptor, static_cast<const char*>(bytes), static_cast<std::size_t>(size)));
    return me.error == 0 ? size : 0;
  }
  static sf_count_t tell(void* user) { return ::lseek(self(user).descriptor, 0, SEEK_CUR); }
};

FlacFile::FlacFile(const std::filesystem::path& target)
    : target_(target), pending_(target), encoder_(std::make_unique<Encoder>()) {}

FlacFile::~FlacFile() = default;

Result<std::unique_ptr<FlacFile>> FlacFile::create(const std::filesystem::path& target) {
  std::unique_ptr<FlacFile> out(new FlacFile(target));
  Encoder& encoder = *out->encoder_;
  encoder.descriptor =
      ::open(out->pending_.path().c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  if (encoder.descriptor < 0) return system_failure(kDoing, target, errno);
  SF_INFO info{};
  info.samplerate = kSampleRate;
  info.channels = kChannels;
  info.format = SF_FORMAT_FLAC | SF_FORMAT_PCM_16;
  SF_VIRTUAL_IO io{&Encoder::length, &Encoder::seek, &Encoder::read, &Encoder::write,
                   &Encoder::tell};
  encoder.file = sf_open_virtual(&io, SFM_WRITE, &info, &encoder);
  if (encoder.file == nullptr) {
    if (encoder.error != 0) return system_failure(kDoing, target, encoder.error);
    return failure(Fault::file, target.string(),
                   std::string("cannot write the track: ") + sf_strerror(nullptr),
                   "the installed libsndfile must be able to write FLAC");
  }
  return out;
}

Result<void> FlacFile::write(std::span<const float> interleaved_stereo) {
  const auto frames = static_cast<sf_count_t>(interleaved_stereo.size() / kChannels);
  if (sf_writef_float(encoder_->file, interleaved_stereo.data(), frames) != frames) {
    encoder_->note(EIO);
  }
  if (encoder_->error != 0) return system_failure(kDoing, target_, encoder_->error);
  return {};
}

Result<void> FlacFile::commit() {
  encoder_->close();
  if (encoder_->error != 0) return system_failure(kDoing, target_, encoder_->error);
  return pending_.commit();
}

}  // namespace stillhand::write
