/* Giving a few blocks another colour, where that is worth it. */

static int over(int many, int most) { return many > most ? many - most : 0; }

/* What a proposal may cost; most are refused before it must be known. */
static double allowed(void) {
    if (most_cost < 0) most_cost = -heat * log(chance);
    return most_cost;
}

/* Set up ends, starts, a maximum matching, sums and totals from the labels alone. */
void count_all(int cap) {
    double *total = k.total;
    for (int i = 0; i < 6; i++) total[i] = 0;
    for (int row = 0; row < rows; row++) k.row_runs[row] = 0;
    for (int i = 0; i < 3 * guarded; i++) k.sums[i] = 0;
    for (int b = 0; b < blocks; b++) {
        int color = k.label[b];
        total[PAID] += k.error[b * yarns + color] * k.weight[b];
        total[PLAIN] += k.error[b * yarns + color];
        k.end[b] = ends_after(b) ? 1 + color : 0;
        k.start[b] = starts_at(b) ? 1 + color : 0;
        total[RUNS] += k.start[b] > 0;
        k.row_runs[k.row[b]] += k.start[b] > 0;
        k.to[b] = k.of[b] = -1;
        for (int side = 1; side < 4; side += 2) {
            int other = k.beside[4 * b + side];
            if (other >= 0 && k.label[other] != color) total[BORDERS] += k.line[4 * b + side];
        }
        for (int j = k.around_at[b]; j < k.around_at[b + 1]; j++)
            for (int i = 0; i < 3; i++) k.sums[3 * k.around[j] + i] += k.color[3 * color + i];
    }
    for (int row = 0; row < rows; row++) total[BEYOND] += over(k.row_runs[row], cap);
    for (int b = 0; b < blocks; b++) {
        logged = 0;
        if (k.end[b] && match(b, 1)) total[LINKS] += 1;
    }
}

/* The label of a block once the marked ones have the new one. */
static int becomes(int at) { return k.mark[at] == marked ? painted : k.label[at]; }

/* Whether any run of the colour would start where one that ends here may go on; or end where one
   that starts here may come from. */
static int may_link(int at, int is_end, int color) {
    const int *links_at = is_end ? k.after_at : k.before_at, *links = is_end ? k.after : k.before;
    const int *edge = is_end ? k.first : k.last;
    int out = is_end ? -1 : 1;
    for (int j = links_at[at]; j < links_at[at + 1]; j++) {
        int far = links[j];
        if (becomes(far) == color && (edge[far] || becomes(far + out) != color))
            return 1;
    }
    return 0;
}

/* Runs that the gap after a block brings once the marked blocks change; to `links`, links at most. */
static int gap(int left, int *links) {
    int one = becomes(left), other = becomes(left + 1);
    int before = k.end[left] > 0, after = one != other;
    if (after) {
        if (!before || one != k.label[left]) *links += may_link(left, 1, one);
        if (!before || other != k.label[left + 1]) *links += may_link(left + 1, 0, other);
    }
    return after - before;
}

/* Runs beyond the cap in the rows of the moved blocks. */
static int rows_beyond(int count) {
    int beyond = 0;
    stamp++;
    for (int n = 0; n < count; n++) {
        int row = k.row[k.moved[n]];
        if (k.row_mark[row] == stamp) continue;
        k.row_mark[row] = stamp;
        beyond += over(k.row_runs[row], price.cap);
    }
    return beyond;
}

/* Count the runs that the marked blocks bring to their rows (sign 1), or take them off again (-1);
   the labels are still the old ones. */
static void move_rows(int count, int color, int sign) {
    for (int n = 0; n < count; n++) {
        int b = k.moved[n], *runs = &k.row_runs[k.row[b]];
        if (!k.first[b]) *runs += sign * ((becomes(b - 1) != color) - (k.end[b - 1] > 0));
        if (!k.last[b] && k.mark[b + 1] != marked)
            *runs += sign * ((k.label[b + 1] != color) - (k.end[b] > 0));
    }
}

/* -- Guards -- */

/* Move the sums of guarded parts to the new colour (sign 1) or back (-1); whether any is touched. */
static int move_sums(int count, int color, int sign) {
    int touched = 0;
    for (int n = 0; n < count; n++) {
        int b = k.moved[n], was = k.label[b];
        for (int j = k.around_at[b]; j < k.around_at[b + 1]; j++) {
            touched = 1;
            for (int i = 0; i < 3; i++)
                k.sums[3 * k.around[j] + i] +=
                    sign * (k.color[3 * color + i] - k.color[3 * was + i]);
        }
    }
    return touched;
}

/* Contrast of a feature with what lies around it, along its own direction. */
static double contrast(int guard) {
    double now = 0;
    for (int i = 0; i < 3; i++) {
        double inside = k.sums[6 * guard + i] / k.parts[2 * guard];
        double outside = k.sums[6 * guard + 3 + i] / k.parts[2 * guard + 1];
        now += (inside - outside) * k.toward[3 * guard + i];
    }
    return now;
}

/* Whether every guarded contrast stays; the sums are then those of the new labels. */
static int guards_hold(int count, int color) {
    if (!move_sums(count, color, 1)) return 1;
    for (int n = 0; n < count; n++) {
        int b = k.moved[n];
        for (int j = k.around_at[b]; j < k.around_at[b + 1]; j++) {
            int guard = k.around[j] / 2;
            if (contrast(guard) < k.floor[guard]) {
                move_sums(count, color, -1);
                return 0;
            }
        }
    }
    return 1;
}

/* -- One move -- */

static int comes(Port port) {
    return port.is_end ? !k.end[port.at] && ends_after(port.at)
                       : !k.start[port.at] && starts_at(port.at);
}

/* Change the labels and mend the matching; links gained. Given up where they will be fewer than
   `least`: it then returns what is less. */
static int relabel(int count, int color, double least) {
    int gained = 0, hoped = 0;
    logged = loosened = 0;
    move_rows(count, color, 1);
    for (int n = 0; n < count; n++) { /* ends and starts that go, or change their colour */
        int b = k.moved[n];
        if (k.end[b]) gained -= drop(b, 1);
        if (k.start[b]) gained -= drop(b, 0);
        if (!k.first[b] && k.end[b - 1] && k.label[b - 1] == color) gained -= drop(b - 1, 1);
        if (!k.last[b] && k.start[b + 1] && k.label[b + 1] == color) gained -= drop(b + 1, 0);
    }
    for (int n = 0; n < count; n++) put(&k.label[k.moved[n]], color);
    for (int n = 0; n < count; n++) { /* and those that come */
        int b = k.moved[n];
        loosen(b, 0);
        loosen(b, 1);
        if (!k.first[b]) loosen(b - 1, 1);
        if (!k.last[b]) loosen(b + 1, 0);
    }
    for (int n = 0; n < loosened; n++) hoped += comes(k.loose[n]);
    for (int n = 0; n < loosened; n++) {
        Port port = k.loose[n];
        if (gained + hoped < least) return gained + hoped;
        if (!comes(port)) continue;
        put(port.is_end ? &k.end[port.at] : &k.start[port.at], 1 + k.label[port.at]);
        gained += match(port.at, port.is_end);
        hoped--;
    }
    return gained;
}

/* Give `count` blocks of k.moved a new colour where that costs no more than allowed; whether so.
   Cheap bounds come first, since nearly every proposal is refused. */
static int recolour(int count, int color) {
    double cost = 0, paid = 0, plain = 0, borders = 0;
    int stretches = 0, runs = 0, links = 0;
    for (int n = 0; n < count; n++) {
        int b = k.moved[n], now = k.label[b];
        if (n == 0 || b != k.moved[n - 1] + 1 || k.first[b]) stretches++;
        double more = k.error[b * yarns + color] - k.error[b * yarns + now];
        cost += more * k.toll[b];
        paid += more * k.weight[b];
        plain += more;
    }
    if (paid > 0 && k.total[PAID] + paid > price.most_paid) return 0;
    if (plain > 0 && k.total[PLAIN] + plain > price.most_plain) return 0;
    /* A recoloured stretch of a row saves at most two strands, a block at most four steps of border:
       those along a row are each other's neighbours by their corners alone. */
    double saved = 4 * stretches * price.tail + 4 * count * price.border;
    if (cost - saved - price.beyond * stretches * 2 > allowed()) return 0;
    marked++, painted = color;
    for (int n = 0; n < count; n++) k.mark[k.moved[n]] = marked;
    for (int n = 0; n < count; n++) {
        int b = k.moved[n], now = k.label[b];
        for (int side = 0; side < 4; side++) {
            int other = k.beside[4 * b + side];
            if (other < 0) continue;
            int beside = k.label[other];
            double step = k.line[4 * b + side];
            if (k.mark[other] == marked) borders -= (beside != now) * step / 2; /* seen twice */
            else borders += ((beside != color) - (beside != now)) * step;
        }
        if (!k.first[b]) runs += gap(b - 1, &links);
        else if (now != color) links += may_link(b, 0, color);
        if (k.last[b]) links += now != color ? may_link(b, 1, color) : 0;
        else if (k.mark[b + 1] != marked) runs += gap(b, &links);
    }
    double energy = cost + price.border * borders - price.beyond * stretches * 2;
    if (energy + 2 * price.tail * (runs - links) > allowed()) return 0;
    if (!guards_hold(count, color)) return 0;
    int beyond = price.beyond > 0 ? -rows_beyond(count) : 0;
    double least = runs + (energy - allowed()) / (2 * price.tail) - 1e-6;
    int gained = relabel(count, color, least);
    if (price.beyond > 0) beyond += rows_beyond(count);
    energy += price.beyond * (stretches * 2 + beyond);
    if (energy + 2 * price.tail * (runs - gained) > allowed()) {
        take_back();
        move_rows(count, color, -1);
        move_sums(count, color, -1);
        return 0;
    }
    k.total[PAID] += paid;
    k.total[PLAIN] += plain;
    k.total[BORDERS] += borders;
    k.total[RUNS] += runs;
    k.total[LINKS] += gained;
    k.total[BEYOND] += beyond;
    return 1;
}
