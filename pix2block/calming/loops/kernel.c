/* The loops inside calming: which blocks to try in which colour, again and again.

   kernel.wasm is this file, compiled to WebAssembly: so it runs at once, and with the same result on
   every machine. Rebuild it after a change: `python tests/kernel_build.py`; a test compares the bytes.
   tests/slow_kernel.py has the same loops in Python.

   Blocks are numbered in working order. state.py says what a piece's arrays hold; kernel.py lays
   them out in the order in which `k` lists them. */

#include <stdint.h>

#define EXPORT(name) __attribute__((export_name(#name)))

enum { PAID, PLAIN, BORDERS, RUNS, LINKS, BEYOND };
enum { MOST_MOVED = 64, LONGEST_LINE = 7, LARGEST_AREA = 24, WINDOW = 1024 };

typedef struct { int at, is_end; } Port; /* where a run ends, or starts */
typedef struct { int *where, was; } Written;

static struct {
    /* state.Piece */
    const double *error, *weight, *toll;
    const int *first, *last, *row, *after_at, *after, *before_at, *before, *beside;
    const float *line;
    const int *around_at, *around;
    const double *color, *parts, *toward, *floor;
    /* what moves, and room to work in */
    int *label;    /* yarn of each block */
    double *total; /* PAID … BEYOND */
    uint64_t *random;
    const double *asked; /* of `anneal`, in its order: read here, a call takes a tenth of its time */
    int *end, *start; /* 1 + its yarn where a run ends, or starts; else 0 */
    int *to, *of;     /* the start that an end is matched to, and the end of a start; -1: none */
    double *sums;     /* colour of each guarded part */
    int *row_runs;    /* runs of each row */
    unsigned *seen, *mark, *row_mark;
    int *parent, *queue, *moved;
    Port *loose;
    Written *log; /* to take a move back */
} k;
static int blocks, rows, yarns, guarded, log_room;
static int logged, loosened;
static unsigned stamp, marked; /* what `seen` and `row_mark`, and what `mark`, hold by now */
static int painted;            /* the colour that marked blocks are to have */

/* state.Prices: what a move is weighed by. */
static struct { double tail, border, beyond, most_paid, most_plain; int cap; } price;
static double heat, chance, most_cost; /* what a proposal is drawn by; below 0: not worked out yet */

double log(double), exp(double); /* compiled in as well, so that they too are the same everywhere */

#include "strands.c"

#include "recolour.c"

/* Xorshift, 64 bits (Marsaglia 2003). */
static uint64_t next_random(void) {
    uint64_t x = *k.random;
    x ^= x << 13;
    x ^= x >> 7;
    x ^= x << 17;
    return *k.random = x;
}

static int below(unsigned most) { return (unsigned)(next_random() >> 33) % most; }

/* First and last block of the run a block is in. */
static int first_of_run(int at) {
    while (!k.first[at] && !k.end[at - 1]) at--;
    return at;
}
static int last_of_run(int at) {
    while (!k.end[at]) at++;
    return at;
}

/* The colour before a block in its row, or after it; -1 beyond the row. */
static int color_before(int at) { return k.first[at] ? -1 : k.label[at - 1]; }
static int color_after(int at) { return k.last[at] ? -1 : k.label[at + 1]; }

/* Blocks to move are written to k.moved; these return how many, 0 where they are too many. */

static int stretch(int first, int last) {
    if (last - first >= MOST_MOVED) return 0;
    for (int b = first; b <= last; b++) k.moved[b - first] = b;
    return last - first + 1;
}

/* Blocks of one colour in a straight line; turn: a second side to step by, -1 for none. */
static int line(int at, int side, int turn, int length) {
    int color = k.label[at], count = 0;
    while (count < length && at >= 0 && k.label[at] == color) {
        k.moved[count++] = at;
        at = k.beside[4 * at + side];
        if (at >= 0 && turn >= 0) at = k.beside[4 * at + turn];
    }
    return count;
}

/* Blocks of one colour that hang together by their sides: all, or as many as are drawn. */
static int area(int at) {
    int color = k.label[at], count = 1, most = 2 + below(LARGEST_AREA - 1);
    stamp++;
    k.moved[0] = at;
    k.seen[at] = stamp;
    for (int next = 0; next < count; next++)
        for (int side = 0; side < 4; side++) {
            int other = k.beside[4 * k.moved[next] + side];
            if (other < 0 || k.label[other] != color || k.seen[other] == stamp) continue;
            if (count == most) return count;
            k.seen[other] = stamp;
            k.moved[count++] = other;
        }
    return count;
}

/* All blocks of the strand from the run of a block on. */
static int strand(int at) {
    int count = 0;
    for (;;) {
        int first = first_of_run(at), last = last_of_run(at);
        if (count + last - first + 1 > MOST_MOVED) return 0;
        for (int b = first; b <= last; b++) k.moved[count++] = b;
        at = k.to[last];
        if (at < 0) return count;
    }
}

/* The colour of a block that the yarn may come from or go to; -1 where there is none. */
static int color_linked(int at) {
    int is_end = below(2);
    const int *links_at = is_end ? k.after_at : k.before_at;
    const int *links = is_end ? k.after : k.before;
    int many = links_at[at + 1] - links_at[at];
    return many ? k.label[links[links_at[at] + below(many)]] : -1;
}

/* Mostly the colour of a block beside one; -1 where that is its own. */
static int color_near(int at) {
    int draw = below(32), color = -1;
    if (draw == 0) color = below(yarns);
    else if (draw < 20) color = color_linked(at);
    else if (draw % 6 < 4) {
        int other = k.beside[4 * at + draw % 6];
        if (other >= 0) color = k.label[other];
    } else color = draw % 6 == 4 ? color_before(at) : color_after(at);
    return color == k.label[at] ? -1 : color;
}

/* Draw blocks and a colour, and try them; whether they were taken. The colour is drawn first where
   it can be: inside large areas it mostly is the blocks' own, and nothing more need be done. */
static int try_one(int at) {
    int draw = below(100), color, count;
    if (draw < 11) { /* in its row: from here to an end of the run, or the run */
        int first = first_of_run(at), last = last_of_run(at);
        int forward = draw < 8 ? draw < 4 : below(2);
        color = forward ? color_after(last) : color_before(first);
        if (draw < 8) count = forward ? stretch(at, last) : stretch(first, at);
        else count = stretch(first, last);
    } else {
        color = color_near(at);
        if (color < 0) return 0;
        if (draw < 50) count = stretch(at, at);
        else if (draw < 62) count = stretch(first_of_run(at), last_of_run(at));
        else if (draw < 85) {
            int side = below(4), turn = -1;
            if (below(3) == 0) turn = side < 2 ? 2 + below(2) : below(2);
            count = line(at, side, turn, 2 + below(LONGEST_LINE - 1));
        } else count = draw < 95 ? area(at) : strand(at);
    }
    if (count == 0 || color < 0) return 0;
    chance = ((next_random() >> 11) + 1) * 0x1p-53; /* above 0, at most 1 */
    most_cost = -1;
    return recolour(count, color);
}

/* Try so many proposals, the temperature falling evenly in its logarithm from hot to cold; of
   `parts` such stretches in a row, this is `part`, from 0. How many were taken. */
EXPORT(anneal) int anneal(void) {
    const double *asked = k.asked;
    price.tail = asked[0], price.border = asked[1], price.beyond = asked[2];
    price.most_paid = asked[3], price.most_plain = asked[4], price.cap = (int)asked[5];
    double hot = asked[6], cold = asked[7];
    int part = (int)asked[8], parts = (int)asked[9], proposals = (int)asked[10];
    double fall = log(cold / hot);
    heat = hot * exp(fall * part / parts);
    double falls = exp(fall / parts * 256 / (proposals > 1 ? proposals : 1));
    int taken = 0, base = below(blocks);
    for (int n = 0; n < proposals; n++) {
        if (n % 256 == 255) heat *= falls;
        if (n % (4 * WINDOW) == 0) base = (base + WINDOW) % blocks;
        int at = base + below(WINDOW);
        if (at >= blocks) at %= blocks;
        taken += try_one(at);
    }
    return taken;
}

EXPORT(count_all) void count(int cap) { count_all(cap); }

/* Where the arrays are told, one address after another, and how large they are. */
EXPORT(begin) void *begin(int blocks_, int rows_, int yarns_, int guarded_, int log_room_) {
    blocks = blocks_, rows = rows_, yarns = yarns_, guarded = guarded_, log_room = log_room_;
    return &k;
}
