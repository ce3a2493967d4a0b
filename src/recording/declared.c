/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/declared.h"

#include <string.h>

/* A damaged file may hold endless tiny chunks; no real one holds this many before its sound. */
#define CHUNKS_MAX 4096
/* What a 32-bit size loses when it wraps, less some room for chunks behind the data. */
#define SIZE_OVERFLOW (UINT64_C(0x100000000) - UINT64_C(0x100000))
/* An Ogg page: a head of 27 bytes, up to 255 lengths, up to 255 pieces of up to 255 bytes. */
#define OGG_PAGE_MOST (27 + 255 + 255 * 255)
#define OGG_END_OF_STREAM 4

struct source {
    declared_read *read;
    void *context;
    uint64_t size;
};

static bool read_at(const struct source *source, uint64_t offset, unsigned char *bytes, size_t size)
{
    return offset <= source->size && size <= source->size - offset &&
           source->read(source->context, offset, bytes, size) == size;
}

static uint64_t unsigned_of(const unsigned char *bytes, size_t size, bool is_big_endian)
{
    uint64_t value = 0;
    for (size_t i = 0; i < size; i++)
        value = value << 8 | bytes[is_big_endian ? i : size - 1 - i];
    return value;
}

static bool id_is(const unsigned char *bytes, const char *id)
{
    return memcmp(bytes, id, 4) == 0;
}

/* A way through a container's chunks: a name, a size, then as many bytes up to the next multiple of `alignment`. name,
 * body and size are those of the chunk that next_chunk came to. */
struct walk {
    const struct source *source;
    unsigned name_bytes, size_bytes, alignment;
    bool is_big_endian, size_counts_head;
    uint64_t next, body, size;
    char name[4];
    int chunk_count;
};

static bool next_chunk(struct walk *walk)
{
    const unsigned head_bytes = walk->name_bytes + walk->size_bytes;
    unsigned char head[24];
    if (walk->chunk_count++ == CHUNKS_MAX || !read_at(walk->source, walk->next, head, head_bytes))
        return false;
    memcpy(walk->name, head, sizeof walk->name);
    walk->body = walk->next + head_bytes;
    walk->size = unsigned_of(head + walk->name_bytes, walk->size_bytes, walk->is_big_endian);
    if (walk->size_counts_head && walk->size < head_bytes)
        return false;
    walk->size -= walk->size_counts_head ? head_bytes : 0;
    uint64_t end = walk->size <= walk->source->size ? walk->body + walk->size : walk->source->size;
    walk->next = (end + walk->alignment - 1) / walk->alignment * walk->alignment;
    return true;
}

static bool chunk_is(const struct walk *walk, const char *name)
{
    return memcmp(walk->name, name, sizeof walk->name) == 0;
}

static struct declared data_of(const struct source *source, uint64_t start, uint64_t byte_count, bool is_unknown,
                               unsigned bytes_per_frame)
{
    struct declared declared = { .present_byte_count = start < source->size ? source->size - start : 0,
                                 .byte_count = byte_count,
                                 .bytes_per_frame = bytes_per_frame };
    if (is_unknown)
        return declared;
    declared.kind = DECLARED_BYTES;
    declared.is_unfinished = byte_count == 0 && declared.present_byte_count > 0;
    declared.is_overflowed = byte_count <= UINT32_MAX && declared.present_byte_count >= byte_count + SIZE_OVERFLOW;
    if (bytes_per_frame > 0)
        declared.frame_count = byte_count / bytes_per_frame;
    return declared;
}

/* From chunk 'fmt ': bytes of a frame where the codec has a fixed size (format tags 1 PCM, 3 IEEE float, 0xFFFE with
 * one of these as its sub-format), else 0. */
static unsigned riff_bytes_per_frame(const struct walk *walk)
{
    unsigned char fmt[40];
    size_t size = walk->size < sizeof fmt ? (size_t)walk->size : sizeof fmt;
    if (size < 16 || !read_at(walk->source, walk->body, fmt, size))
        return 0;
    uint64_t tag = unsigned_of(fmt, 2, walk->is_big_endian);
    if (tag == 0xFFFE && size >= 26)
        tag = unsigned_of(fmt + 24, 2, walk->is_big_endian);
    return tag == 1 || tag == 3 ? (unsigned)unsigned_of(fmt + 12, 2, walk->is_big_endian) : 0;
}

/* RIFF, and RF64, whose chunk 'ds64' has the size that 32 bits can't tell; and Wave64, with RIFF's names at the start
 * of identifiers of 16 bytes and 64-bit sizes. */
static struct declared riff_length(struct walk *walk, bool is_rf64)
{
    uint64_t data_size_64 = 0;
    unsigned bytes_per_frame = 0;
    while (next_chunk(walk)) {
        unsigned char sizes[16];
        if (chunk_is(walk, "fmt "))
            bytes_per_frame = riff_bytes_per_frame(walk);
        else if (is_rf64 && chunk_is(walk, "ds64") && walk->size >= 16 && read_at(walk->source, walk->body, sizes, 16))
            data_size_64 = unsigned_of(sizes + 8, 8, false);
        else if (chunk_is(walk, "data")) {
            bool is_told_elsewhere = walk->size_bytes == 4 && walk->size == UINT32_MAX;
            return data_of(walk->source, walk->body, is_told_elsewhere && is_rf64 ? data_size_64 : walk->size,
                           is_told_elsewhere && data_size_64 == 0, bytes_per_frame);
        }
    }
    return (struct declared){ .kind = DECLARED_NOTHING };
}

/* AIFF says the number of frames itself, in chunk 'COMM'. */
static struct declared aiff_length(struct walk *walk)
{
    unsigned char common[6];
    while (next_chunk(walk))
        if (chunk_is(walk, "COMM") && read_at(walk->source, walk->body, common, sizeof common))
            return (struct declared){ .kind = DECLARED_FRAMES, .frame_count = unsigned_of(common + 2, 4, true) };
    return (struct declared){ .kind = DECLARED_NOTHING };
}

/* CAF: chunk 'desc' says the bytes of a packet and its frames, chunk 'data' has a 64-bit size (-1: not known) that
 * includes a 4-byte edit count. */
static struct declared caf_length(struct walk *walk)
{
    unsigned bytes_per_frame = 0;
    while (next_chunk(walk)) {
        unsigned char sound[24];
        if (chunk_is(walk, "data"))
            return data_of(walk->source, walk->body + 4, walk->size > 4 ? walk->size - 4 : 0, walk->size == UINT64_MAX,
                           bytes_per_frame);
        if (chunk_is(walk, "desc") && walk->size >= 32 && read_at(walk->source, walk->body, sound, sizeof sound) &&
            unsigned_of(sound + 20, 4, true) == 1)
            bytes_per_frame = (unsigned)unsigned_of(sound + 16, 4, true);
    }
    return (struct declared){ .kind = DECLARED_NOTHING };
}

/* Whether the page at the start of `bytes` is marked as the last of its stream and whole. */
static bool is_last_page(const unsigned char *bytes, size_t size)
{
    if (size < 27 || !id_is(bytes, "OggS") || !(bytes[5] & OGG_END_OF_STREAM) || size < 27u + bytes[26])
        return false;
    size_t length = 27u + bytes[26];
    for (size_t i = 0; i < bytes[26]; i++)
        length += bytes[27 + i];
    return length <= size;
}

static struct declared ogg_length(const struct source *source)
{
    unsigned char end[2 * OGG_PAGE_MOST];
    size_t size = source->size < sizeof end ? (size_t)source->size : sizeof end;
    struct declared declared = { .kind = DECLARED_NOTHING, .is_unfinished = true };
    if (read_at(source, source->size - size, end, size))
        for (size_t i = 0; i + 27 <= size && declared.is_unfinished; i++)
            declared.is_unfinished = !is_last_page(end + i, size - i);
    return declared;
}

struct declared declared_length(declared_read *read, void *context, uint64_t file_size)
{
    const struct source source = { .read = read, .context = context, .size = file_size };
    struct walk riff = { .source = &source, .next = 12, .name_bytes = 4, .size_bytes = 4, .alignment = 2 },
                wave64 = { .source = &source, .next = 40, .name_bytes = 16, .size_bytes = 8, .alignment = 8 },
                caf = { .source = &source, .next = 8, .name_bytes = 4, .size_bytes = 8, .alignment = 1 };
    wave64.size_counts_head = true;
    caf.is_big_endian = true;
    unsigned char head[12];
    if (!read_at(&source, 0, head, sizeof head))
        return (struct declared){ .kind = DECLARED_NOTHING };
    riff.is_big_endian = id_is(head, "RIFX") || id_is(head, "FORM");
    if (id_is(head, "RIFF") || id_is(head, "RIFX"))
        return riff_length(&riff, false);
    if (id_is(head, "RF64") || id_is(head, "BW64"))
        return riff_length(&riff, true);
    if (id_is(head, "riff"))
        return riff_length(&wave64, false);
    if (id_is(head, "FORM"))
        return aiff_length(&riff);
    if (id_is(head, "caff"))
        return caf_length(&caf);
    if (id_is(head, "OggS"))
        return ogg_length(&source);
    return (struct declared){ .kind = DECLARED_NOTHING };
}
