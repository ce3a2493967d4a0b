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

/* Bytes of a frame where the codec has a fixed size (format tags 1 PCM, 3 IEEE float, 0xFFFE with one of these as its
 * sub-format), else 0. */
static unsigned riff_bytes_per_frame(const unsigned char *fmt, size_t size, bool is_big_endian)
{
    uint64_t tag = unsigned_of(fmt, 2, is_big_endian);
    if (tag == 0xFFFE && size >= 26)
        tag = unsigned_of(fmt + 24, 2, is_big_endian);
    return tag == 1 || tag == 3 ? (unsigned)unsigned_of(fmt + 12, 2, is_big_endian) : 0;
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

static struct declared riff_length(const struct source *source, bool is_big_endian, bool is_64_bit)
{
    uint64_t offset = 12, data_size_64 = 0;
    unsigned bytes_per_frame = 0;
    for (int i = 0; i < CHUNKS_MAX; i++) {
        unsigned char head[8], body[40];
        if (!read_at(source, offset, head, sizeof head))
            break;
        uint64_t size = unsigned_of(head + 4, 4, is_big_endian);
        if (id_is(head, "data")) {
            bool is_unknown = size == UINT32_MAX && !(is_64_bit && data_size_64 > 0);
            return data_of(source, offset + 8, is_64_bit && size == UINT32_MAX ? data_size_64 : size, is_unknown,
                           bytes_per_frame);
        }
        size_t wanted = size < sizeof body ? (size_t)size : sizeof body;
        if (id_is(head, "fmt ") && wanted >= 16 && read_at(source, offset + 8, body, wanted))
            bytes_per_frame = riff_bytes_per_frame(body, wanted, is_big_endian);
        else if (id_is(head, "ds64") && wanted >= 16 && read_at(source, offset + 8, body, 16))
            data_size_64 = unsigned_of(body + 8, 8, false);
        offset += 8 + size + (size & 1);
    }
    return (struct declared){ .kind = DECLARED_NOTHING };
}

/* Wave64: 16-byte identifiers that start with the RIFF names, 64-bit sizes that include the 24-byte head, chunks
 * aligned to 8 bytes. */
static struct declared wave64_length(const struct source *source)
{
    uint64_t offset = 40;
    unsigned bytes_per_frame = 0;
    for (int i = 0; i < CHUNKS_MAX; i++) {
        unsigned char head[24], body[40];
        if (!read_at(source, offset, head, sizeof head))
            break;
        uint64_t size = unsigned_of(head + 16, 8, false);
        if (size < 24)
            break;
        if (id_is(head, "data"))
            return data_of(source, offset + 24, size - 24, false, bytes_per_frame);
        size_t wanted = size - 24 < sizeof body ? (size_t)(size - 24) : sizeof body;
        if (id_is(head, "fmt ") && wanted >= 16 && read_at(source, offset + 24, body, wanted))
            bytes_per_frame = riff_bytes_per_frame(body, wanted, false);
        if (size > source->size)
            break;
        offset += (size + 7) / 8 * 8;
    }
    return (struct declared){ .kind = DECLARED_NOTHING };
}

/* AIFF says the number of frames itself, in chunk 'COMM'. */
static struct declared aiff_length(const struct source *source)
{
    uint64_t offset = 12;
    for (int i = 0; i < CHUNKS_MAX; i++) {
        unsigned char head[8], body[6];
        if (!read_at(source, offset, head, sizeof head))
            break;
        uint64_t size = unsigned_of(head + 4, 4, true);
        if (id_is(head, "COMM") && read_at(source, offset + 8, body, sizeof body))
            return (struct declared){ .kind = DECLARED_FRAMES, .frame_count = unsigned_of(body + 2, 4, true) };
        offset += 8 + size + (size & 1);
    }
    return (struct declared){ .kind = DECLARED_NOTHING };
}

/* CAF: chunk 'desc' says the bytes of a packet and its frames, chunk 'data' has a 64-bit size (-1: not known) that
 * includes a 4-byte edit count. */
static struct declared caf_length(const struct source *source)
{
    uint64_t offset = 8;
    unsigned bytes_per_frame = 0;
    for (int i = 0; i < CHUNKS_MAX; i++) {
        unsigned char head[12], body[24];
        if (!read_at(source, offset, head, sizeof head))
            break;
        uint64_t size = unsigned_of(head + 4, 8, true);
        if (id_is(head, "data"))
            return data_of(source, offset + 16, size > 4 ? size - 4 : 0, size == UINT64_MAX, bytes_per_frame);
        if (id_is(head, "desc") && size >= 32 && read_at(source, offset + 12, body, sizeof body) &&
            unsigned_of(body + 20, 4, true) == 1)
            bytes_per_frame = (unsigned)unsigned_of(body + 16, 4, true);
        if (size > source->size)
            break;
        offset += 12 + size;
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
    struct source source = { .read = read, .context = context, .size = file_size };
    unsigned char head[12];
    if (!read_at(&source, 0, head, sizeof head))
        return (struct declared){ .kind = DECLARED_NOTHING };
    if (id_is(head, "RIFF") || id_is(head, "RIFX"))
        return riff_length(&source, id_is(head, "RIFX"), false);
    if (id_is(head, "RF64") || id_is(head, "BW64"))
        return riff_length(&source, false, true);
    if (id_is(head, "riff"))
        return wave64_length(&source);
    if (id_is(head, "FORM"))
        return aiff_length(&source);
    if (id_is(head, "caff"))
        return caf_length(&source);
    if (id_is(head, "OggS"))
        return ogg_length(&source);
    return (struct declared){ .kind = DECLARED_NOTHING };
}
