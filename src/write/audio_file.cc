#include "write/audio_file.h"

#include <FLAC/metadata.h>
#include <FLAC/stream_encoder.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <opus/opusenc.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <new>
#include <string>
#include <utility>

#include "write/audio_synth.h"
#include "write/sheet_text.h"

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

namespace {

// Writing of our own below the encoders, so that the system's reason of a failure is not lost.
class Sink {
 public:
  Sink() = default;
  Sink(const Sink&) = delete;
  Sink& operator=(const Sink&) = delete;
  ~Sink() { close(); }

  void open(const std::filesystem::path& path) {
    descriptor_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (descriptor_ < 0) note(errno);
  }
  bool write(const void* bytes, std::size_t size) {
    if (error_ == 0) note(write_all(descriptor_, static_cast<const char*>(bytes), size));
    return error_ == 0;
  }
  off_t seek(off_t offset, int whence) const { return ::lseek(descriptor_, offset, whence); }
  void close() {
    if (descriptor_ >= 0 && ::close(std::exchange(descriptor_, -1)) != 0) note(errno);
  }
  void note(int error) {
    if (error_ == 0) error_ = error;
  }
  int error() const { return error_; }  // the first errno value; 0: none

 private:
  int descriptor_ = -1;
  int error_ = 0;
};

// "TITLE=Lamps Along the Quay" and so on, in the order in which players show them.
std::vector<std::pair<std::string, std::string>> comments(const SoundTags& tags) {
  std::vector<std::pair<std::string, std::string>> out;
  const auto put = [&](std::string_view name, const std::string& text) {
    if (!text.empty()) out.emplace_back(name, one_line(text));
  };
  put("TITLE", tags.title);
  put("ARTIST", tags.artist);
  put("ALBUM", tags.album);
  put("TRACKNUMBER", tags.number > 0 ? std::to_string(tags.number) : "");
  put("COPYRIGHT", tags.copyright);
  for (std::size_t i = 0; i < tags.chapters.size(); ++i) {
    const std::string name = fmt::format("CHAPTER{:03}", i + 1);
    put(name, clock_text(tags.chapters[i].start, '.'));
    put(name + "NAME", tags.chapters[i].title);
  }
  return out;
}

}  // namespace

std::optional<SoundFormat> sound_format_named(std::string_view name) {
  for (const SoundFormat format : {SoundFormat::flac, SoundFormat::opus}) {
    if (name == ending(format).substr(1)) return format;
  }
  return std::nullopt;
}

std::string_view ending(SoundFormat format) {
  return format == SoundFormat::flac ? ".flac" : ".opus";
}

class SoundFile::Encoder {
 public:
  Encoder() = default;
  Encoder(const Encoder&) = delete;
  Encoder& operator=(const Encoder&) = delete;
  virtual ~Encoder() = default;
  // False: see sink().error(); where that is 0 the library itself refuses.
  virtual bool begin(const SoundTags& tags) = 0;
  virtual bool write(std::span<const float> interleaved_stereo) = 0;
  virtual bool end() = 0;
  Sink& sink() { return sink_; }

 private:
  Sink sink_;
};

namespace {

class FlacEncoder : public SoundFile::Encoder {
 public:
  FlacEncoder() : encoder_(FLAC__stream_encoder_new()) {
    if (encoder_ == nullptr) throw std::bad_alloc();
  }
  FlacEncoder(const FlacEncoder&) = delete;
  FlacEncoder& operator=(const FlacEncoder&) = delete;
  ~FlacEncoder() override {
    FLAC__stream_encoder_delete(encoder_);
    for (FLAC__StreamMetadata* block : metadata_) FLAC__metadata_object_delete(block);
  }

  bool begin(const SoundTags& tags) override {
    describe(tags);
    return FLAC__stream_encoder_set_channels(encoder_, kChannels) != 0 &&
           FLAC__stream_encoder_set_bits_per_sample(encoder_, kBits) != 0 &&
           FLAC__stream_encoder_set_sample_rate(encoder_, kSampleRate) != 0 &&
           FLAC__stream_encoder_set_compression_level(encoder_, kEffort) != 0 &&
           FLAC__stream_encoder_set_metadata(encoder_, metadata_.data(),
                                             static_cast<unsigned>(metadata_.size())) != 0 &&
           FLAC__stream_encoder_init_stream(encoder_, put, seek, tell, nullptr, this) ==
               FLAC__STREAM_ENCODER_INIT_STATUS_OK;
  }

  bool write(std::span<const float> sound) override {
    constexpr float kFull = 32767.0F;
    whole_.resize(sound.size());
    for (std::size_t i = 0; i < sound.size(); ++i) {
      whole_[i] = static_cast<FLAC__int32>(std::lrint(std::clamp(sound[i], -1.0F, 1.0F) * kFull));
    }
    return FLAC__stream_encoder_process_interleaved(
               encoder_, whole_.data(), static_cast<unsigned>(sound.size() / kChannels)) != 0;
  }

  bool end() override { return FLAC__stream_encoder_finish(encoder_) != 0; }

 private:
  static constexpr unsigned kBits = 16;
  static constexpr unsigned kEffort = 5;  // the library's own default
  static constexpr int kPicture = FLAC__STREAM_METADATA_PICTURE_TYPE_FRONT_COVER;

  FLAC__StreamMetadata* add(FLAC__MetadataType type) {
    FLAC__StreamMetadata* block = FLAC__metadata_object_new(type);
    if (block == nullptr) throw std::bad_alloc();
    metadata_.push_back(block);
    return block;
  }

  void describe(const SoundTags& tags) {
    FLAC__StreamMetadata* texts = add(FLAC__METADATA_TYPE_VORBIS_COMMENT);
    for (const auto& [name, text] : comments(tags)) {
      FLAC__StreamMetadata_VorbisComment_Entry entry;
      if (FLAC__metadata_object_vorbiscomment_entry_from_name_value_pair(&entry, name.c_str(),
                                                                         text.c_str()) == 0 ||
          FLAC__metadata_object_vorbiscomment_append_comment(texts, entry, /*copy=*/0) == 0) {
        throw std::bad_alloc();
      }
    }
    if (tags.cover_png.empty()) return;
    FLAC__StreamMetadata* picture = add(FLAC__METADATA_TYPE_PICTURE);
    std::string png = tags.cover_png;
    std::string kind = "image/png";
    picture->data.picture.type = static_cast<FLAC__StreamMetadata_Picture_Type>(kPicture);
    if (FLAC__metadata_object_picture_set_mime_type(picture, kind.data(), /*copy=*/1) == 0 ||
        FLAC__metadata_object_picture_set_data(picture, reinterpret_cast<FLAC__byte*>(png.data()),
                                               static_cast<FLAC__uint32>(png.size()),
                                               /*copy=*/1) == 0) {
      throw std::bad_alloc();
    }
    const auto [width, height] = png_size(tags.cover_png);
    picture->data.picture.width = width;
    picture->data.picture.height = height;
    picture->data.picture.depth = 24;
  }

  static std::pair<FLAC__uint32, FLAC__uint32> png_size(std::string_view png) {
    const auto number = [&](std::size_t at) {
      FLAC__uint32 out = 0;
      for (std::size_t i = at; i < at + 4 && i < png.size(); ++i) {
        out = out << 8 | static_cast<unsigned char>(png[i]);
      }
      return out;
    };
    return {number(16), number(20)};  // of the IHDR chunk
  }

  static Sink& of(void* user) { return static_cast<FlacEncoder*>(user)->sink(); }
  static FLAC__StreamEncoderWriteStatus put(const FLAC__StreamEncoder*, const FLAC__byte* bytes,
                                            std::size_t size, unsigned, unsigned, void* user) {
    return of(user).write(bytes, size) ? FLAC__STREAM_ENCODER_WRITE_STATUS_OK
                                       : FLAC__STREAM_ENCODER_WRITE_STATUS_FATAL_ERROR;
  }
  static FLAC__StreamEncoderSeekStatus seek(const FLAC__StreamEncoder*, FLAC__uint64 offset,
                                            void* user) {
    return of(user).seek(static_cast<off_t>(offset), SEEK_SET) < 0
               ? FLAC__STREAM_ENCODER_SEEK_STATUS_ERROR
               : FLAC__STREAM_ENCODER_SEEK_STATUS_OK;
  }
  static FLAC__StreamEncoderTellStatus tell(const FLAC__StreamEncoder*, FLAC__uint64* offset,
                                            void* user) {
    const off_t here = of(user).seek(0, SEEK_CUR);
    if (here < 0) return FLAC__STREAM_ENCODER_TELL_STATUS_ERROR;
    *offset = static_cast<FLAC__uint64>(here);
    return FLAC__STREAM_ENCODER_TELL_STATUS_OK;
  }

  FLAC__StreamEncoder* encoder_;
  std::vector<FLAC__StreamMetadata*> metadata_;
  std::vector<FLAC__int32> whole_;
};

class OpusEncoder : public SoundFile::Encoder {
 public:
  OpusEncoder() : comments_(ope_comments_create()) {
    if (comments_ == nullptr) throw std::bad_alloc();
  }
  OpusEncoder(const OpusEncoder&) = delete;
  OpusEncoder& operator=(const OpusEncoder&) = delete;
  ~OpusEncoder() override {
    if (encoder_ != nullptr) ope_encoder_destroy(encoder_);
    ope_comments_destroy(comments_);
  }

  bool begin(const SoundTags& tags) override {
    for (const auto& [name, text] : comments(tags)) {
      if (ope_comments_add(comments_, name.c_str(), text.c_str()) != OPE_OK) return false;
    }
    if (!tags.cover_png.empty() &&
        ope_comments_add_picture_from_memory(comments_, tags.cover_png.data(),
                                             tags.cover_png.size(), kPicture, "") != OPE_OK) {
      return false;
    }
    const OpusEncCallbacks callbacks{put, close};
    int error = OPE_OK;
    encoder_ = ope_encoder_create_callbacks(&callbacks, this, comments_, kSampleRate, kChannels,
                                            kMappingFamily, &error);
    return encoder_ != nullptr &&
           ope_encoder_ctl(encoder_, OPE_SET_SERIALNO(kSerialNumber)) == OPE_OK &&
           ope_encoder_ctl(encoder_, OPUS_SET_BITRATE(kBitsPerSecond)) == OPE_OK &&
           ope_encoder_flush_header(encoder_) == OPE_OK;
  }

  bool write(std::span<const float> sound) override {
    return ope_encoder_write_float(encoder_, sound.data(),
                                   static_cast<int>(sound.size() / kChannels)) == OPE_OK &&
           sink().error() == 0;
  }

  bool end() override { return ope_encoder_drain(encoder_) == OPE_OK && sink().error() == 0; }

 private:
  static constexpr int kPicture = 3;        // front cover
  static constexpr int kMappingFamily = 0;  // stereo
  static constexpr int kSerialNumber = 1;   // one stream a file: any will do, but always the same
  static constexpr int kBitsPerSecond =
      96000;  // no difference to be heard in stereo music (our judgement)

  static int put(void* user, const unsigned char* bytes, opus_int32 size) {
    return static_cast<OpusEncoder*>(user)->sink().write(bytes, static_cast<std::size_t>(size)) ? 0
                                                                                                : 1;
  }
  static int close(void*) { return 0; }

  OggOpusComments* comments_;
  OggOpusEnc* encoder_ = nullptr;
};

}  // namespace

std::string SoundFile::versions() {
  return fmt::format("{}; {}; {}", FLAC__VENDOR_STRING, ope_get_version_string(),
                     opus_get_version_string());
}

SoundFile::SoundFile(const std::filesystem::path& target) : target_(target), pending_(target) {}

SoundFile::~SoundFile() = default;

Result<std::unique_ptr<SoundFile>> SoundFile::create(const std::filesystem::path& target,
                                                     SoundFormat format, const SoundTags& tags) {
  std::unique_ptr<SoundFile> out(new SoundFile(target));
  if (format == SoundFormat::flac) {
    out->encoder_ = std::make_unique<FlacEncoder>();
  } else {
    out->encoder_ = std::make_unique<OpusEncoder>();
  }
  Sink& sink = out->encoder_->sink();
  sink.open(out->pending_.path());
  if (sink.error() != 0) return system_failure(kDoing, target, sink.error());
  if (!out->encoder_->begin(tags)) {
    return system_failure(kDoing, target, sink.error() != 0 ? sink.error() : EIO);
  }
  return out;
}

Result<void> SoundFile::write(std::span<const float> interleaved_stereo) {
  Sink& sink = encoder_->sink();
  if (!encoder_->write(interleaved_stereo)) sink.note(EIO);
  if (sink.error() != 0) return system_failure(kDoing, target_, sink.error());
  return {};
}

Result<void> SoundFile::commit() {
  Sink& sink = encoder_->sink();
  if (!encoder_->end()) sink.note(EIO);
  sink.close();
  if (sink.error() != 0) return system_failure(kDoing, target_, sink.error());
  return pending_.commit();
}

}  // namespace stillhand::write
