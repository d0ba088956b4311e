// What a regular expression cannot tell of a harness file: where a line begins at the margin, which words cannot be names, and which
// figures are none. It says what `src/syntax/{splitter,token,name,number}.rs` of the program say.

#include "tree_sitter/alloc.h"
#include "tree_sitter/parser.h"

#include "reserved.h"

#include <string.h>

enum Token {
    MARGIN,
    NAME,
    NOT_A_NAME,
    NUMBER,
    NUMBER_WITH_UNIT,
    PERCENT,
    GLUED_INCH,
    LETTER_CODE,
    DATE,
    SCALE,
    // Left to the parser; here so that the scanner is asked in every place.
    COMMENT,
    // A letter behind a margin that was skipped. In no rule.
    LOST,
    // In no rule: it is wanted only where the parser looks for a way on behind an error.
    ERROR_SENTINEL,
};

// What was found last. A broken stanza must not change how the next one is read, so a margin is never to be skipped for the sake of what
// stands above it. The parser weighs such ways by what they skip: one that skips a margin (it meets it while it looks for a way on behind
// an error, and does not ask for it again) is given the same margin over and over, then letters that fit nowhere, and so always costs
// more than one that begins anew at the margin. Margins also take turns, so that the parser sees a change of state at each.
enum Last { NOTHING, A_MARGIN, THE_OTHER_MARGIN, A_WORD, SKIPPED_MARGIN, LOST_BEHIND_MARGIN = SKIPPED_MARGIN + 16 };

static bool is_line_end(int32_t c) { return c == '\n' || c == '\r'; }
static bool is_digit(int32_t c) { return c >= '0' && c <= '9'; }
static bool is_letter(int32_t c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

// White_Space of Unicode, without line ends.
static bool is_blank(int32_t c) {
    return c == ' ' || c == '\t' || c == 0x0b || c == 0x0c || c == 0x85 || c == 0xa0 || c == 0x1680 ||
           (c >= 0x2000 && c <= 0x200a) || c == 0x2028 || c == 0x2029 || c == 0x202f || c == 0x205f || c == 0x3000;
}
static bool is_byte_order_mark(int32_t c) { return c == 0xfeff; }
// Beyond ASCII, letters and signs that are none are told apart by the parser, which knows them all.
static bool is_beyond(int32_t c) { return c >= 0x80 && !is_blank(c) && !is_byte_order_mark(c); }

// Signs that stand in units alone.
static bool is_unit_sign(int32_t c) { return c == '%' || c == 0xb0 || c == 0xb2; }
// What a word goes on with, besides a dot.
static bool goes_on(int32_t c) {
    return is_letter(c) || is_digit(c) || c == '-' || c == '_' || is_unit_sign(c) || is_beyond(c);
}

static void advance(TSLexer *lexer) { lexer->advance(lexer, false); }

static bool is_reserved(const char *word) {
    for (size_t i = 0; i < sizeof RESERVED / sizeof *RESERVED; i++)
        if (strcmp(word, RESERVED[i]) == 0) return true;
    return false;
}

// The longest word that could be reserved, and one letter more.
#define LONGEST 24

// A name of plain letters, or a word that cannot be a name. A name with other letters is left to the parser.
static bool scan_name(TSLexer *lexer) {
    char part[LONGEST + 1];
    unsigned length = 0;
    bool plain = true, good = true, begun = false;
    for (;;) {
        int32_t c = lexer->lookahead;
        if (c == '.') {
            lexer->mark_end(lexer);
            advance(lexer);
            if (!goes_on(lexer->lookahead) || is_unit_sign(lexer->lookahead)) break;
            part[length < LONGEST ? length : LONGEST] = 0;
            good = good && !is_reserved(part);
            length = 0;
            begun = false;
            continue;
        }
        if (!goes_on(c)) {
            lexer->mark_end(lexer);
            break;
        }
        if (is_unit_sign(c) || (!begun && !is_letter(c) && !is_beyond(c))) good = false;
        if (is_beyond(c)) plain = false;
        if (length < LONGEST) part[length++] = c < 0x80 ? (char)c : '?';
        begun = true;
        advance(lexer);
    }
    part[length] = 0;
    good = good && !is_reserved(part);
    lexer->result_symbol = good ? NAME : NOT_A_NAME;
    return plain || !good;
}

// A decimal, `12`, `0.75`, `.5`.
typedef struct {
    double digits, power;
    unsigned whole;
    bool has_digit, has_dot, is_good;
} Decimal;

static double value_of(const Decimal *d) { return d->digits / d->power; }

static void add_digit(Decimal *d, int32_t c) {
    d->digits = d->digits * 10 + (c - '0');
    if (d->has_dot) d->power *= 10;
    d->has_digit = true;
    d->whole += !d->has_dot;
}

// Reads a decimal; a dot belongs to it only where a word or digit follows. `ends` on a dot that does not.
static Decimal scan_decimal(TSLexer *lexer, bool *ends) {
    Decimal d = {0, 1, 0, false, false, true};
    for (;;) {
        int32_t c = lexer->lookahead;
        if (is_digit(c)) {
            // More digits than a figure has are beyond what the sums here can hold, and change nothing.
            if (d.power < 1e15 && d.digits < 1e15) add_digit(&d, c);
        } else if (c == '.') {
            lexer->mark_end(lexer);
            advance(lexer);
            if (!goes_on(lexer->lookahead) || is_unit_sign(lexer->lookahead)) {
                *ends = true;
                return d;
            }
            if (d.has_dot) d.is_good = false;
            d.has_dot = true;
            continue;
        } else {
            break;
        }
        advance(lexer);
    }
    return d;
}

static bool is_day(unsigned year, unsigned month, unsigned day) {
    static const unsigned DAYS[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return month >= 1 && month <= 12 && day >= 1 && day <= DAYS[month - 1] + (leap && month == 2);
}

// Two digits behind a `-`.
static bool scan_two(TSLexer *lexer, unsigned *number) {
    if (lexer->lookahead != '-') return false;
    *number = 0;
    for (int i = 0; i < 2; i++) {
        advance(lexer);
        if (!is_digit(lexer->lookahead)) return false;
        *number = *number * 10 + (unsigned)(lexer->lookahead - '0');
    }
    advance(lexer);
    return true;
}

// Numbers from the first on, or under the second, are a slip.
static bool is_meant(double size) { return size < 1e9 && (size == 0 || size >= 1e-6); }

// Whether what was read so far ends here.
static bool scan_end(TSLexer *lexer) {
    lexer->mark_end(lexer);
    if (lexer->lookahead == '.') {
        advance(lexer);
        return !goes_on(lexer->lookahead);
    }
    return !goes_on(lexer->lookahead);
}

// What begins with a digit, or a sign or dot and a digit.
static bool scan_number(TSLexer *lexer) {
    bool is_signed = lexer->lookahead == '+' || lexer->lookahead == '-' || lexer->lookahead == 0x2212;
    if (is_signed) advance(lexer);
    if (!is_digit(lexer->lookahead) && lexer->lookahead != '.') return false;
    bool ends = false;
    Decimal upper = scan_decimal(lexer, &ends);
    if (!upper.has_digit || !upper.is_good) return false;
    double size = value_of(&upper);
    bool is_fraction = false;
    if (!ends && lexer->lookahead == '/') {
        lexer->mark_end(lexer);
        advance(lexer);
        if (is_digit(lexer->lookahead)) {
            Decimal lower = scan_decimal(lexer, &ends);
            if (!lower.is_good || value_of(&lower) == 0) return false;
            size /= value_of(&lower);
            is_fraction = true;
        } else {
            ends = true;
        }
    }
    if (!ends && lexer->lookahead == ':') {
        lexer->mark_end(lexer);
        advance(lexer);
        if (is_digit(lexer->lookahead)) {
            bool is_one = upper.digits == 1 && upper.whole == 1 && !upper.has_dot && !is_signed && !is_fraction;
            Decimal scale = scan_decimal(lexer, &ends);
            if (!is_one || !scale.is_good || value_of(&scale) == 0 || value_of(&scale) >= 1e9) return false;
            lexer->result_symbol = SCALE;
            return ends || scan_end(lexer);
        }
        ends = true;
    }
    if (!ends && lexer->lookahead == '-' && upper.whole == 4 && !upper.has_dot && !is_signed && !is_fraction) {
        unsigned month, day;
        if (!scan_two(lexer, &month) || !scan_two(lexer, &day)) return false;
        lexer->result_symbol = DATE;
        return is_day((unsigned)upper.digits, month, day) && scan_end(lexer);
    }
    if (!is_meant(size)) return false;
    lexer->result_symbol = NUMBER;
    if (ends) return true;
    lexer->mark_end(lexer);
    int32_t c = lexer->lookahead;
    if (!goes_on(c)) return true;
    if (is_digit(c) || c == '-' || c == '_') return false;
    lexer->result_symbol = NUMBER_WITH_UNIT;
    // A resistance as IEC 60062 writes it: the letter stands where the decimal point would.
    double factor = c == 'R' ? 1 : c == 'k' || c == 'K' ? 1e3 : c == 'M' ? 1e6 : 0;
    if (factor == 0) return true;
    advance(lexer);
    Decimal code = {upper.digits, upper.power, 0, upper.has_dot, true, true};
    bool has_decimals = is_digit(lexer->lookahead);
    for (; is_digit(lexer->lookahead); advance(lexer))
        if (code.power < 1e15 && code.digits < 1e15) add_digit(&code, lexer->lookahead);
    if (goes_on(lexer->lookahead)) return true;
    if (has_decimals && (upper.has_dot || is_fraction || !is_meant(value_of(&code) * factor))) return false;
    lexer->result_symbol = LETTER_CODE;
    return scan_end(lexer);
}

// Whether one of these is wanted.
static bool wants_number(const bool *valid) {
    return valid[NUMBER] || valid[NUMBER_WITH_UNIT] || valid[LETTER_CODE] || valid[DATE] || valid[SCALE];
}

static bool scan(enum Last last, TSLexer *lexer, const bool *valid) {
    bool begins_line = last == NOTHING && lexer->get_column(lexer) == 0, is_indented = false, is_glued = true;
    for (;; lexer->advance(lexer, true)) {
        int32_t c = lexer->lookahead;
        if (is_line_end(c)) {
            begins_line = true;
            is_indented = false;
        } else if (is_blank(c)) {
            is_indented = true;
        } else if (!is_byte_order_mark(c)) {
            break;
        }
        is_glued = false;
    }
    int32_t c = lexer->lookahead;
    if (lexer->eof(lexer) || c == '#') return false;
    lexer->mark_end(lexer);
    bool is_searching = valid[ERROR_SENTINEL];
    if ((begins_line && !is_indented) || (last >= SKIPPED_MARGIN && (!is_searching || last < LOST_BEHIND_MARGIN))) {
        lexer->result_symbol = MARGIN;
        return true;
    }
    if (last == LOST_BEHIND_MARGIN) {
        advance(lexer);
        lexer->mark_end(lexer);
        lexer->result_symbol = LOST;
        return true;
    }
    if (valid[PERCENT] && c == '%') {
        advance(lexer);
        lexer->result_symbol = PERCENT;
        return scan_end(lexer);
    }
    if (valid[GLUED_INCH] && is_glued && c == 'i') {
        advance(lexer);
        if (lexer->lookahead != 'n') return false;
        advance(lexer);
        lexer->result_symbol = GLUED_INCH;
        return scan_end(lexer);
    }
    if (is_digit(c) || c == '+' || c == '-' || c == 0x2212 || c == '.') return wants_number(valid) && scan_number(lexer);
    if (is_letter(c) || is_beyond(c)) return valid[NAME] && !is_searching && scan_name(lexer);
    return false;
}

// What is kept from one token to the next.
typedef struct {
    unsigned char last;
    // How many words were found since the margin where they were wanted. Two ways of reading a stanza that have it different are not
    // taken for one, which the parser does badly.
    unsigned char words;
} Kept;

void *tree_sitter_harness_external_scanner_create(void) { return ts_calloc(1, sizeof(Kept)); }
void tree_sitter_harness_external_scanner_destroy(void *payload) { ts_free(payload); }

unsigned tree_sitter_harness_external_scanner_serialize(void *payload, char *buffer) {
    memcpy(buffer, payload, sizeof(Kept));
    return sizeof(Kept);
}

void tree_sitter_harness_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
    Kept *kept = payload;
    *kept = (Kept){NOTHING, 0};
    if (length == sizeof(Kept)) memcpy(kept, buffer, sizeof(Kept));
}

bool tree_sitter_harness_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
    Kept *kept = payload;
    if (!scan((enum Last)kept->last, lexer, valid)) return false;
    bool is_searching = valid[ERROR_SENTINEL];
    if (lexer->result_symbol == LOST) return true;
    if (lexer->result_symbol != MARGIN) {
        kept->last = A_WORD;
        kept->words += !is_searching;
        return true;
    }
    kept->words = 0;
    if (valid[MARGIN] && !is_searching)
        kept->last = kept->last == A_MARGIN ? THE_OTHER_MARGIN : A_MARGIN;
    else if (kept->last >= SKIPPED_MARGIN && kept->last < LOST_BEHIND_MARGIN)
        kept->last++;
    else
        kept->last = SKIPPED_MARGIN;
    return true;
}
