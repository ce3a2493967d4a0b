/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/recording.h"

#include "base/memory.h"
#include "recording/declared.h"
#include "recording/format.h"
#include "recording/mpeg_head.h"
#include "recording/stored.h"

#include <errno.h>
#include <fcntl.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define CHANNELS_MAX 32
#define RATE_LEAST_HZ 8000
#define RATE_MOST_HZ 384000

/* The open file as libsndfile sees it. Our own input makes the file's errors ours to tell: libsndfile keeps the reason
 * of a failed open in a process-wide place, which threads would share. That place is never read here. */
struct input {
    int descriptor;
    int64_t position, size;
    int error; /* errno of a failed read, 0 for none */
};

struct recording {
    struct recording_info info;
    char *path;
    struct input input;
    struct declared declared;
    SNDFILE *file;
    enum stored stored;
    unsigned char *bytes; /* RECORDING_BLOCK_FRAMES of all channels, where we decode what is stored ourselves */
    double *interleaved;  /* the same as libsndfile gives them; NULL for one channel of a lossless codec */
    uint64_t position;    /* the frame that the next read gives */
};

static size_t input_read_at(struct input *input, int64_t offset, void *bytes, size_t size)
{
    size_t done = 0;
    while (done < size) {
        ssize_t got = pread(input->descriptor, (char *)bytes + done, size - done, offset + (off_t)done);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            input->error = errno;
        if (got <= 0)
            break;
        done += (size_t)got;
    }
    return done;
}

static size_t declared_input(void *context, uint64_t offset, void *bytes, size_t size)
{
    return input_read_at(context, (int64_t)offset, bytes, size);
}

static sf_count_t input_length(void *context)
{
    const struct input *input = context;
    return input->size;
}

static sf_count_t input_tell(void *context)
{
    const struct input *input = context;
    return input->position;
}

static sf_count_t input_seek(sf_count_t offset, int whence, void *context)
{
    struct input *input = context;
    int64_t from = whence == SEEK_SET ? 0 : whence == SEEK_CUR ? input->position : input->size;
    /* A damaged header can ask for any place: outside the file stays outside, without overflow. */
    if (offset > INT64_MAX / 4 || offset < -from || from > INT64_MAX / 4)
        return -1;
    input->position = from + offset;
    return input->position;
}

static sf_count_t input_read(void *bytes, sf_count_t size, void *context)
{
    struct input *input = context;
    if (size <= 0)
        return 0;
    size_t got = input_read_at(input, input->position, bytes, (size_t)size);
    input->position += (int64_t)got;
    return (sf_count_t)got;
}

static bool open_input(struct recording *recording, struct err *err)
{
    struct stat status;
    if (stat(recording->path, &status) != 0)
        return err_file(err, ERR_FILE, recording->path, "can't be opened: %s", strerror(errno));
    if (!S_ISREG(status.st_mode))
        return err_file(err, ERR_FILE, recording->path, "is not a file; give a sound file");
    if (status.st_size == 0)
        return err_file(err, ERR_AUDIO, recording->path, "is empty (0 bytes); copy it again from the recorder");
    recording->input =
        (struct input){ .descriptor = open(recording->path, O_RDONLY | O_CLOEXEC), .size = (int64_t)status.st_size };
    if (recording->input.descriptor < 0)
        return err_file(err, ERR_FILE, recording->path, "can't be opened: %s", strerror(errno));
    return true;
}

/* Why libsndfile would not open it, as far as the file's own bytes tell. */
static bool refuse_format(struct recording *recording, struct err *err)
{
    static const char *const known[] = { "RIFF", "RIFX", "RF64", "BW64", "riff", "FORM", "caff", "fLaC", "OggS" };
    char head[4];
    if (recording->input.error != 0)
        return err_file(err, ERR_FILE, recording->path, "can't be read: %s", strerror(recording->input.error));
    const struct declared *declared = &recording->declared;
    if (declared->kind == DECLARED_BYTES && declared->byte_count > declared->present_byte_count)
        return err_file(
            err, ERR_AUDIO, recording->path,
            "is cut: its header promises %llu bytes of sound, %llu are there; copy it again from the recorder",
            (unsigned long long)declared->byte_count, (unsigned long long)declared->present_byte_count);
    if (input_read_at(&recording->input, 0, head, sizeof head) == sizeof head)
        for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
            if (memcmp(head, known[i], sizeof head) == 0)
                return err_file(err, ERR_AUDIO, recording->path,
                                "is a sound file with a damaged header or a codec that can't be read; "
                                "copy it again or convert it to WAV");
    return err_file(err, ERR_AUDIO, recording->path,
                    "is not a sound file that can be read; use WAV, RF64, W64, FLAC, AIFF, CAF or Ogg");
}

/* frames * declared / present, for codecs without a fixed size of a frame; a damaged size may be anything. */
static uint64_t scaled(uint64_t frame_count, uint64_t declared, uint64_t present)
{
    double frames = (double)frame_count * (double)declared / (double)present;
    return frames < 1e18 ? (uint64_t)frames : UINT64_C(1000000000000000000);
}

static void compare_with_declared(struct recording *recording)
{
    struct recording_info *info = &recording->info;
    const struct declared *declared = &recording->declared;
    info->declared_frame_count = info->frame_count;
    info->is_unfinished = declared->is_unfinished;
    info->is_overflowed = declared->is_overflowed;
    switch (declared->kind) {
    case DECLARED_NOTHING:
        break;
    case DECLARED_FRAMES:
        info->declared_frame_count = declared->frame_count;
        break;
    case DECLARED_BYTES:
        if (declared->bytes_per_frame > 0)
            info->declared_frame_count = declared->frame_count;
        else if (declared->byte_count > declared->present_byte_count && declared->present_byte_count > 0)
            info->declared_frame_count = scaled(info->frame_count, declared->byte_count, declared->present_byte_count);
        break;
    }
}

/* Room for a block, in the way that it will be decoded. */
static bool make_room(struct recording *recording, int format)
{
    const size_t samples = RECORDING_BLOCK_FRAMES * (size_t)recording->info.channel_count;
    bool is_swapped = sf_command(recording->file, SFC_RAW_DATA_NEEDS_ENDSWAP, NULL, 0) != SF_FALSE;
    bool is_little = is_swapped == (__BYTE_ORDER__ == __ORDER_BIG_ENDIAN__);
    recording->stored = is_little ? stored_kind(format) : STORED_OTHERWISE;
    if (recording->stored != STORED_OTHERWISE) {
        recording->bytes = memory_new(samples, stored_bytes(recording->stored));
        return recording->bytes != NULL;
    }
    if (recording->info.channel_count == 1 && !recording->info.is_lossy)
        return true;
    recording->interleaved = memory_new(samples, sizeof(double));
    return recording->interleaved != NULL;
}

static bool open_sound(struct recording *recording, struct err *err)
{
    SF_VIRTUAL_IO calls = {
        .get_filelen = input_length, .seek = input_seek, .read = input_read, .write = NULL, .tell = input_tell
    };
    SF_INFO sound = { 0 };
    recording->declared = declared_length(declared_input, &recording->input, (uint64_t)recording->input.size);
    if (mpeg_head_of(declared_input, &recording->input) == MPEG_HEAD_FALSE)
        return refuse_format(recording, err);
    recording->file = sf_open_virtual(&calls, SFM_READ, &sound, &recording->input);
    if (!recording->file)
        return refuse_format(recording, err);
    if (sound.frames <= 0 && recording->declared.is_unfinished)
        return err_file(
            err, ERR_AUDIO, recording->path,
            "was never finished: its header promises no sound, but %llu bytes follow; let the recorder repair "
            "it, and stop the recorder before it is switched off",
            (unsigned long long)recording->declared.present_byte_count);
    if (sound.frames <= 0)
        return err_file(err, ERR_AUDIO, recording->path, "holds no sound (0 frames); copy it again from the recorder");
    if (sound.samplerate < RATE_LEAST_HZ || sound.samplerate > RATE_MOST_HZ)
        return err_file(err, ERR_AUDIO, recording->path, "has a sample rate of %d Hz; %d to %d Hz can be used",
                        sound.samplerate, RATE_LEAST_HZ, RATE_MOST_HZ);
    if (sound.channels < 1 || sound.channels > CHANNELS_MAX)
        return err_file(err, ERR_AUDIO, recording->path, "has %d channels; 1 to %d can be used", sound.channels,
                        CHANNELS_MAX);
    recording->info = (struct recording_info){ .sample_rate_hz = sound.samplerate,
                                               .channel_count = sound.channels,
                                               .frame_count = (uint64_t)sound.frames };
    format_describe(sound.format, &recording->info);
    compare_with_declared(recording);
    return make_room(recording, sound.format) || err_memory(err);
}

struct recording *recording_open(const char *path, struct err *err)
{
    struct recording *recording = memory_new(1, sizeof *recording);
    if (!recording) {
        err_memory(err);
        return NULL;
    }
    recording->input.descriptor = -1;
    recording->path = memory_copy_text(path);
    if (!recording->path)
        err_memory(err);
    if (!recording->path || !open_input(recording, err) || !open_sound(recording, err)) {
        recording_free(recording);
        return NULL;
    }
    return recording;
}

void recording_free(struct recording *recording)
{
    if (!recording)
        return;
    if (recording->file)
        sf_close(recording->file);
    if (recording->input.descriptor >= 0)
        close(recording->input.descriptor);
    free(recording->bytes);
    free(recording->interleaved);
    free(recording->path);
    free(recording);
}

const struct recording_info *recording_info(const struct recording *recording)
{
    return &recording->info;
}

const char *recording_path(const struct recording *recording)
{
    return recording->path;
}

/* Decodes on from the start to `frame` and drops what comes. libsndfile 1.2.0 lands elsewhere when it seeks in a short
 * Ogg file (seen: one of 40000 frames), and other lossy codecs start with what their decoder does not yet know;
 * rewinding is exact. */
static bool decode_up_to(struct recording *recording, uint64_t frame)
{
    if (sf_seek(recording->file, 0, SEEK_SET) < 0)
        return false;
    for (uint64_t left = frame; left > 0;) {
        uint64_t most = left < RECORDING_BLOCK_FRAMES ? left : RECORDING_BLOCK_FRAMES;
        sf_count_t got = sf_readf_double(recording->file, recording->interleaved, (sf_count_t)most);
        if (got <= 0)
            return false;
        left -= (uint64_t)got;
    }
    return true;
}

bool recording_seek(struct recording *recording, uint64_t frame, struct err *err)
{
    if (frame > recording->info.frame_count)
        return err_file(err, ERR_RANGE, recording->path, "frame %llu is behind its end (%llu frames)",
                        (unsigned long long)frame, (unsigned long long)recording->info.frame_count);
    /* The end itself is not a place that every codec can seek to; reads there give nothing anyway. */
    bool done = frame == recording->info.frame_count;
    if (!done)
        done = recording->info.is_lossy ? decode_up_to(recording, frame)
                                        : sf_seek(recording->file, (sf_count_t)frame, SEEK_SET) >= 0;
    if (!done)
        return err_file(err, ERR_AUDIO, recording->path, "can't be read from frame %llu on; the file is damaged there",
                        (unsigned long long)frame);
    recording->position = frame;
    return true;
}

static size_t read_stored(struct recording *recording, const int *channels, size_t channel_count, double *const *out,
                          size_t offset, size_t frame_count)
{
    const int all = recording->info.channel_count;
    const size_t frame_bytes = stored_bytes(recording->stored) * (size_t)all;
    sf_count_t got = sf_read_raw(recording->file, recording->bytes, (sf_count_t)(frame_count * frame_bytes));
    size_t frames = got > 0 ? (size_t)got / frame_bytes : 0;
    for (size_t i = 0; i < channel_count; i++)
        stored_decode(recording->stored, recording->bytes, all, channels[i], frames, out[i] + offset);
    return frames;
}

/* Reads `frame_count` frames at most, a block at most, into out[i][offset..]. */
static size_t read_block(struct recording *recording, const int *channels, size_t channel_count, double *const *out,
                         size_t offset, size_t frame_count)
{
    size_t most = frame_count < RECORDING_BLOCK_FRAMES ? frame_count : RECORDING_BLOCK_FRAMES;
    if (recording->stored != STORED_OTHERWISE)
        return read_stored(recording, channels, channel_count, out, offset, most);
    if (!recording->interleaved) {
        sf_count_t got = sf_readf_double(recording->file, out[0] + offset, (sf_count_t)frame_count);
        for (size_t i = 1; i < channel_count && got > 0; i++)
            memcpy(out[i] + offset, out[0] + offset, (size_t)got * sizeof **out);
        return got > 0 ? (size_t)got : 0;
    }
    sf_count_t got = sf_readf_double(recording->file, recording->interleaved, (sf_count_t)most);
    size_t stride = (size_t)recording->info.channel_count;
    for (size_t i = 0; i < channel_count && got > 0; i++) {
        const double *from = recording->interleaved + channels[i];
        double *to = out[i] + offset;
        for (size_t frame = 0; frame < (size_t)got; frame++)
            to[frame] = from[frame * stride];
    }
    return got > 0 ? (size_t)got : 0;
}

int recording_channel_of(const struct recording *recording, int channel)
{
    return recording_info(recording)->channel_count == 1 ? 0 : channel;
}

bool recording_read(struct recording *recording, const int *channels, size_t channel_count, double *const *out,
                    size_t frame_count, size_t *got, struct err *err)
{
    struct recording_info *info = &recording->info;
    *got = 0;
    for (size_t i = 0; i < channel_count; i++)
        if (channels[i] < 0 || channels[i] >= info->channel_count)
            return err_file(err, ERR_AUDIO, recording->path, "has no channel %d; it has %d", channels[i] + 1,
                            info->channel_count);
    uint64_t left = info->frame_count - recording->position;
    size_t wanted = frame_count < left ? frame_count : (size_t)left;
    while (channel_count > 0 && *got < wanted) {
        size_t count = read_block(recording, channels, channel_count, out, *got, wanted - *got);
        if (count == 0)
            break;
        *got += count;
    }
    recording->position += *got;
    if (recording->input.error != 0)
        return err_file(err, ERR_FILE, recording->path, "can't be read: %s", strerror(recording->input.error));
    /* A codec that knows its length only by its header (FLAC) ends here when the file was cut. */
    if (*got < wanted)
        info->frame_count = recording->position;
    return true;
}
