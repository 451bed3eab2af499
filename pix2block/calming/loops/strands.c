/* Strands while blocks are recoloured: the matching of run ends to run starts, kept a maximum.

   A chart's strands are its runs less the links of a maximum matching. Recolouring takes away and
   adds a few ends and starts. What goes, and what it was matched to, is taken out: the matching that
   is left is a maximum of what is left, since a path that could augment it would have augmented the
   one before (Berge 1957). What comes, and what lost its match, is then put in one at a time, each
   with one search for an augmenting path from it: so the count stays exact. A log takes a refused
   move back. */

static int ends_after(int at) { return k.last[at] || k.label[at] != k.label[at + 1]; }
static int starts_at(int at) { return k.first[at] || k.label[at] != k.label[at - 1]; }

/* Write, and remember what was there. */
static void put(int *where, int value) {
    if (logged == log_room) __builtin_trap();
    k.log[logged++] = (Written){where, *where};
    *where = value;
}

static void take_back(void) {
    while (logged) {
        logged--;
        *k.log[logged].where = k.log[logged].was;
    }
}

/* Remember that a run may end, or start, at a block that has no port there now. */
static void loosen(int at, int is_end) { k.loose[loosened++] = (Port){at, is_end}; }

/* Take an end, or a start, away; links lost. */
static int drop(int at, int is_end) {
    int *mates = is_end ? k.to : k.of, mate = mates[at];
    put(is_end ? &k.end[at] : &k.start[at], 0);
    if (mate < 0) return 0;
    put(&mates[at], -1);
    put(is_end ? &k.of[mate] : &k.to[mate], -1);
    put(is_end ? &k.start[mate] : &k.end[mate], 0);
    loosen(mate, !is_end);
    return 1;
}

/* Whether an augmenting path from a free end, or start, was found; it is then matched. */
static int match(int root, int is_end) {
    const int *links_at = is_end ? k.after_at : k.before_at;
    const int *links = is_end ? k.after : k.before;
    const int *there = is_end ? k.start : k.end; /* ports of the other kind */
    int *mate = is_end ? k.to : k.of, *mate_there = is_end ? k.of : k.to;
    int port = 1 + k.label[root], head = 0, tail = 0;
    stamp++;
    k.queue[tail++] = root;
    while (head < tail) {
        int near = k.queue[head++];
        for (int j = links_at[near]; j < links_at[near + 1]; j++) {
            int far = links[j];
            if (there[far] != port || k.seen[far] == stamp) continue;
            k.seen[far] = stamp;
            k.parent[far] = near;
            if (mate_there[far] >= 0) {
                k.queue[tail++] = mate_there[far];
                continue;
            }
            for (;;) { /* free: match anew all the way back */
                near = k.parent[far];
                int before = mate[near];
                put(&mate[near], far);
                put(&mate_there[far], near);
                if (near == root) return 1;
                far = before;
            }
        }
    }
    return 0;
}
