/* The flight engine's algorithm once more, written by hand in C, as the yardstick of speed/flight_speed.py.
 *
 * Same rings, same tables, same polynomials, same midpoint rules, same governor and pulse frames; written so that the
 * compiler works out several rings in one instruction, as it does (cc -fopt-info-vec says so). Left out, which spares C
 * a little: the run logic (the motor is governed throughout), forward speed and the stalled share in each row of the
 * record. Not part of the package: it is built and run by hand.
 *   cc -O3 -march=native -ffast-math -shared -fPIC -o flight_twin.so flight_twin.c -lm
 */
#include <math.h>
#include <stdint.h>
#include <string.h>

#define RINGS 12
#define DESCENT_STEPS 400
#define GRAVITY 9.80665
#define PI 3.14159265358979323846

typedef struct {
    /* motor */ double kv, ohm20, no_load_a, no_load_w, share;
    /* controller */ double c_ohm, c_hz, c_s, ripple, freewheel;
    /* pack */ double cells, capacity, quick_ohm, slow_ohm, slow_s, pack_k;
    /* gears */ double ratio, efficiency, train_drag, head_drag;
    /* heat */ double cw, rw, cc, rc, ck, rk, air_k;
    /* rotor */ double blades, radius, root, chord, twist, density, sound, viscosity;
    /* section */ double log_re_low, log_re_step, lift_factor, drag_factor, compressible, rows, angles;
    /* tail */ double tail_end, tail_full, tail_points;
    /* body */ double mass, drag_area, head_j, motor_j;
    /* governor */ double sample_s, gain, gain_per_s, feed, filter_s, sensor_step, set_rad_s, servo_s;
} Craft;

typedef struct { const double *polar, *tail, *descent, *place, *weight; } Tables;

typedef struct { double head, motor, height, climb, charge, slow, winding, casing, controller; int locked; } State;
typedef struct { double thrust, torque, tail, drag; } Held;
typedef struct { double duty, current, voltage, drawn, torque, copper, iron, ripple, conduction, switching, freewheel, pack; } Point;
typedef struct { double volts, ohm; } Source;

static inline double idle(const Craft *c, double w) { return c->no_load_a * (1.0 - c->share + c->share * w / c->no_load_w); }
static inline double chop(const Craft *c, double d) { return c->c_hz * c->c_s * fmin(fmax(1.0 - d, 0.0) / 0.05, 1.0); }
static inline double ripple_of(const Craft *c, double v, double d) { return 2.5 * c->ripple * idle(c, c->kv * v) * fmax(d * (1.0 - d), 0.0); }
static inline double winding_ohm(const Craft *c, double k) { return c->ohm20 * (1.0 + 0.00393 * (k - 293.15)); }

static inline double fed(const Craft *c, Source s, double i, double d) {
    double at_zero = d * i + i * chop(c, d) + ripple_of(c, 0.0, d);
    double per_volt = ripple_of(c, 1.0, d) - ripple_of(c, 0.0, d);
    return (s.volts - s.ohm * at_zero) / (1.0 + s.ohm * per_volt);
}

static inline double current_at(const Craft *c, Source s, double d, double w, double k) {
    double v0 = fed(c, s, 0.0, d), per = v0 - fed(c, s, 1.0, d);
    double r = winding_ohm(c, k) + c->c_ohm, back = w / c->kv + (1.0 - d) * c->freewheel;
    return fmax((d * v0 - back) / (r + d * per), 0.0);
}

static inline double torque_at(const Craft *c, Source s, double d, double w, double k) {
    return (current_at(c, s, d, w, k) - idle(c, w)) / c->kv;
}

/* The same polynomials as physics/series.py. */
static inline double angle_of(double across, double along) {
    double a = fabs(across), b = fabs(along), small = a < b ? a : b, large = a < b ? b : a;
    int diagonal = small > 0.41421356237309503 * large;
    double x = (diagonal ? small - large : small) / fmax(diagonal ? small + large : large, 1e-300), u = x * x;
    double low = 0.999999999999999 + u * (-0.3333333333322143 + u * (0.19999999978392663 + u * (-0.14285712661684793 + u * 0.11111048853751296)));
    double angle = x * (low + u * u * u * u * u * (-0.09089529956562307 + u * (0.07673535428183285 + u * (-0.0650598296717084 + u * (0.05024762118940128 + u * -0.025316479573776477)))));
    angle = diagonal ? 0.25 * PI + angle : angle;
    angle = a > b ? 0.5 * PI - angle : angle;
    angle = along < 0.0 ? PI - angle : angle;
    return copysign(angle, across);
}

static inline double natural_log(double ratio) {
    int64_t bits, whole;
    double mantissa;
    memcpy(&bits, &ratio, 8);
    whole = (bits - 0x3FE6A09E667F3BCD) >> 52;
    bits -= whole * ((int64_t)1 << 52);
    memcpy(&mantissa, &bits, 8);
    double x = (mantissa - 1.0) / (mantissa + 1.0), u = x * x;
    return whole * 0.6931471805599453 + x * (2.0 + u * (0.6666666666666765 + u * (0.3999999999930234 + u * (0.2857142876064168 + u * (0.22222197056726048 + u * (0.18183631680229329 + u * (0.1531252814836419 + u * 0.14809710360655276)))))));
}

static inline double exp_falling(double exponent) {
    double y = fmin(exponent, 30.0) * (1.0 / 64.0), y2 = y * y, y4 = y2 * y2;
    double high = ((0.041666666608425044 + y * -0.00833333275144418) + y2 * (0.0013888852589955965 + y * -0.00019839812117106157)) + y4 * ((2.476382308177041e-05 + y * -2.6944728858281585e-06) + y2 * 2.182459466908579e-07);
    double e = ((1.0 + y * -0.9999999999999988) + y2 * (0.49999999999989786 + y * -0.16666666666326233)) + y4 * high;
    e *= e; e *= e; e *= e; e *= e; e *= e;
    return e * e;
}

static inline double quarter_turns(double c) {
    double c2 = c * c, c4 = c2 * c2;
    double low = ((0.9999999999999949 + c * -0.1366197723649856) + c2 * (0.056690113593650227 + c * -0.03233570243445214)) + c4 * ((0.021442036131563143 + c * -0.015515673192929477) + c2 * (0.011876176328493398 + c * -0.009420904448304129));
    double high = ((0.007570552625089834 + c * -0.005942076787503173) + c2 * (0.004311128704788212 + c * -0.002697984838201083)) + c4 * ((0.001347467262759439 + c * -0.0004900015220130352) + c2 * (0.0001133401896254256 + c * -1.2383090472608944e-05));
    return sqrt(fmax(1.0 - c, 0.0)) * (low + c4 * c4 * high);
}

static inline double table_value(const Craft *c, const double *restrict table, double alpha, int row, int above, double weight) {
    int n = (int)c->angles;
    double place = (alpha + PI) * (n - 1) / (2.0 * PI);
    int left = (int)place;
    left = left < 0 ? 0 : (left > n - 2 ? n - 2 : left);
    double part = place - left;
    int below = row * n + left, over = above * n + left;
    double low = table[below] + part * (table[below + 1] - table[below]), high = table[over] + part * (table[over + 1] - table[over]);
    return low + weight * (high - low);
}

static inline double loss(double tip, double root, double sine) {
    double size = fmax(fabs(sine), 1e-9);
    return quarter_turns(exp_falling(tip / size)) * quarter_turns(exp_falling(root / size));
}

static void flow_loads(const Craft *craft, const Tables *tables, double w, double pitch, double through_v, const double *restrict tried, double *restrict rates, double *restrict thrust_out, double *restrict torque_out) {
    const Craft here = *craft, *c = &here;
    const double *restrict polar = tables->polar, *restrict descent = tables->descent, *restrict places = tables->place, *restrict weights = tables->weight;
    double thrust = 0.0, lift_q = 0.0, drag_q = 0.0, span = c->radius - c->root;
    int rows = (int)c->rows, angles = (int)c->angles;
    if (w < 1.0) {
        for (int k = 0; k < RINGS; k++) rates[k] = -20.0 * tried[k];
        *thrust_out = *torque_out = 0.0;
        return;
    }
#pragma GCC ivdep
    for (int k = 0; k < RINGS; k++) {
        double r = c->root + span * places[k], width = span * weights[k], inflow = tried[k];
        double theta = pitch + c->twist * (r / c->radius - 0.75), along = w * r, through = through_v + inflow;
        double speed = sqrt(along * along + through * through);
        double alpha = theta - angle_of(through, along);
        double place = (natural_log(fmax(speed * c->chord / c->viscosity, 1.0)) - c->log_re_low) / c->log_re_step;
        place = fmin(fmax(place, 0.0), rows - 1.0);
        int row = (int)place, above = row + 1 < rows ? row + 1 : rows - 1;
        double weight = place - row;
        alpha -= 2.0 * PI * floor((alpha + PI) / (2.0 * PI));
        double mach = fmin(c->compressible * speed / c->sound, 0.7), size = fabs(alpha), grown = fmax(fmin(size, 0.7 - size), 0.0);
        double lifted = alpha + copysign((1.0 / sqrt(1.0 - mach * mach) - 1.0) * grown, alpha);
        double cl = c->lift_factor * table_value(c, polar, lifted, row, above, weight);
        double cd = c->drag_factor * table_value(c, polar + rows * angles, alpha, row, above, weight);
        double ring_thrust = speed * (cl * along - cd * through);
        double half = 0.5 * c->blades, f = loss(half * (c->radius - r) / r, half * (r - c->root) / c->root, through / speed);
        double in = fabs(inflow), total = in + fabs(through_v), spot = in / fmax(total, 1e-300) * DESCENT_STEPS;
        int step = (int)spot > DESCENT_STEPS - 1 ? DESCENT_STEPS - 1 : (int)spot;
        double factor = descent[step] + (spot - step) * (descent[step + 1] - descent[step]);
        double momentum = in * total * (through_v * inflow < 0.0 ? factor : 1.0);
        double solidity = c->blades * c->chord / (2.0 * PI * r);
        double balance = 0.25 * solidity * ring_thrust - f * copysign(momentum, inflow);
        rates[k] = 2.0 * balance / (8.0 / (3.0 * PI) * c->radius);
        double force = 0.5 * c->density * c->blades * c->chord * width;
        thrust += force * ring_thrust;
        lift_q += force * speed * cl * through * r;
        drag_q += force * speed * cd * along * r;
    }
    *thrust_out = thrust;
    *torque_out = lift_q + drag_q;
}

static inline double tail_torque(const Craft *c, const Tables *t, double w, double held) {
    int last = (int)c->tail_points - 1;
    double square = w * w, place = fmin(fabs(held) / fmax(square * c->tail_end, 1e-12), 1.0) * last;
    int left = (int)place > last - 1 ? last - 1 : (int)place;
    double part = place - left, fast = fmin(fmax(2.0 * w / c->tail_full - 1.0, 0.0), 1.5);
    const double *slow = t->tail + left, *full = slow + last + 1;
    double a = slow[0] + part * (slow[1] - slow[0]), b = full[0] + part * (full[1] - full[0]);
    return square * (a + fast * (b - a));
}

static inline double inertia(const Craft *c) { return c->head_j + c->efficiency * c->ratio * c->ratio * c->motor_j; }

static inline double locked_rate(const Craft *c, Source s, double duty, double torque, double tail, double winding, double w) {
    double q = torque_at(c, s, duty, c->ratio * w, winding);
    return (c->efficiency * c->ratio * q - c->train_drag - c->head_drag - torque - tail) / inertia(c);
}

static inline double free_rate(const Craft *c, Source s, double duty, double winding, double w) {
    return (torque_at(c, s, duty, w, winding) - c->train_drag / (c->ratio * c->efficiency)) / c->motor_j;
}

static double middle_locked(const Craft *c, Source s, double duty, Held h, double winding, double start, double step) {
    double middle = start;
    for (int k = 0; k < 4; k++) {
        double here = locked_rate(c, s, duty, h.torque, h.tail, winding, middle), miss = middle - start - 0.5 * step * here;
        if (fabs(miss) <= 1e-10) break;
        double beside = middle - copysign(1e-3, miss);
        double slope = (locked_rate(c, s, duty, h.torque, h.tail, winding, beside) - here) / (beside - middle);
        middle -= miss / (1.0 - 0.5 * step * slope);
    }
    return fmax(middle, 0.0);
}

static double middle_free(const Craft *c, Source s, double duty, double winding, double start, double step) {
    double middle = start;
    for (int k = 0; k < 4; k++) {
        double here = free_rate(c, s, duty, winding, middle), miss = middle - start - 0.5 * step * here;
        if (fabs(miss) <= 1e-10) break;
        double beside = middle - copysign(1e-3, miss);
        double slope = (free_rate(c, s, duty, winding, beside) - here) / (beside - middle);
        middle -= miss / (1.0 - 0.5 * step * slope);
    }
    return fmax(middle, 0.0);
}

static inline double climb_rate(const Craft *c, const State *s, Held h) {
    double rate = (h.thrust - h.drag) / c->mass - GRAVITY;
    return s->height <= 0.0 && s->climb <= 0.0 && rate < 0.0 ? 0.0 : rate;
}

static double stored(const Craft *c, const State *s) {
    return 0.5 * (c->head_j * s->head * s->head + c->motor_j * s->motor * s->motor + c->mass * s->climb * s->climb) + c->mass * GRAVITY * s->height;
}

/* commands: one collective a pulse frame, rad; record: rows of 16; books: 15. Returns 0, or 1 when numbers run away. */
int fly(const Craft *c, const double *polar, const double *tail, const double *descent, const double *place, const double *weight,
        const double *start, double duty0, double collective0, const double *commands, int frames, int steps, double step,
        int steps_a_frame, int steps_a_sample, int steps_a_row, double *flow_in, double *record, double *books) {
    Tables t = {polar, tail, descent, place, weight};
    State s = {start[0], start[1], start[2], start[3], start[4], start[5], start[6], start[7], start[8], 1};
    double flow[3][RINGS];
    for (int k = 0; k < 3 * RINGS; k++) flow[k / RINGS][k % RINGS] = flow_in[k];
    Held h = {start[9], start[10], start[11], 0.0};
    double drawn = start[12], rate_w = 0.0, rate_c = 0.0, rate_k = 0.0, asked = collective0, collective = collective0;
    double duty = duty0, integral = duty0 - c->feed * fabs(collective0), seen = s.head, half = 0.5 * step;
    double share = c->filter_s > 0.0 ? -expm1(-c->sample_s / c->filter_s) : 1.0;
    double warm = exp(25000.0 / 8.314462618 * (1.0 / c->pack_k - 1.0 / 298.15));
    double lag_half = exp(-half / c->servo_s), lag_whole = exp(-step / c->servo_s);
    for (int n = 0; n < steps; n++) {
        if (n % steps_a_frame == 0) { int f = n / steps_a_frame; asked = commands[f < frames ? f : frames - 1]; }
        if (n % steps_a_sample == 0) {
            double measured = s.motor / c->ratio;
            if (c->sensor_step > 0.0) measured = c->sensor_step * floor(measured / c->sensor_step + 0.5);
            seen += share * (measured - seen);
            double error = (c->set_rad_s - seen) / c->set_rad_s, growth = c->gain_per_s * error * c->sample_s;
            double wanted = c->feed * fabs(collective) + c->gain * error + integral + growth;
            duty = fmin(fmax(wanted, 0.0), 1.0);
            if (!((wanted > 1.0 && growth > 0.0) || (wanted < 0.0 && growth < 0.0))) integral += growth;
        }
        double pitch = asked + (collective - asked) * lag_half;
        double slow_ohm = c->slow_ohm * (1.0 + 0.3208 / 0.04669 * exp(-29.14 * fmax(s.charge, 0.0))) * warm;
        double slow_v = s.slow + half * (drawn * slow_ohm - s.slow) / c->slow_s;
        double q = s.charge - drawn * half / c->capacity, g = fmin(fmax(q, 0.0), 1.0), g2 = g * g;
        double cell = -1.031 * exp(-35.0 * g) + 3.685 + 0.2156 * g - 0.1178 * g2 + 0.3201 * g2 * g + 0.0971 * g2 * g2 * g2 * g2 - 0.12 * exp(-8.0 * g);
        Source source = {c->cells * cell - slow_v, c->quick_ohm * (1.0 + 0.1562 / 0.07446 * exp(-24.37 * fmax(q, 0.0))) * warm};
        double winding = s.winding + half * rate_w, casing = s.casing + half * rate_c, ctrl = s.controller + half * rate_k;
        /* loads at the predicted middle */
        double rate = s.locked ? locked_rate(c, source, duty, h.torque, h.tail, winding, s.head) : -(h.torque + h.tail + c->head_drag) / c->head_j;
        double head = fmax(s.head + half * rate, 0.0), climb = s.climb + half * climb_rate(c, &s, h);
        for (int k = 0; k < RINGS; k++) flow[2][k] = flow[0][k] + half * flow[1][k];
        double thrust, torque;
        flow_loads(c, &t, head, pitch, climb, flow[2], flow[1], &thrust, &torque);
        double tail_q = tail_torque(c, &t, head, 0.0);
        if (s.locked) {
            double middle = locked_rate(c, source, duty, h.torque, h.tail, winding, head);
            tail_q = h.tail;
            for (int k = 0; k < 3; k++) {
                double more = torque - h.torque + tail_q - h.tail;
                tail_q = tail_torque(c, &t, head, fmax(torque + c->head_j * (middle - more / inertia(c)), 0.0));
            }
        }
        h.thrust = thrust; h.torque = torque; h.tail = tail_q;
        h.drag = 0.5 * c->density * fabs(climb) * climb * c->drag_area;
        /* shafts */
        State a = s;
        double motor_middle, bearing = 0.0;
        int locked = 0;
        if (s.locked) {
            double middle = middle_locked(c, source, duty, h, winding, s.head, step), after = fmax(2.0 * middle - s.head, 0.0);
            bearing = c->head_j * (after - s.head) / step + h.torque + h.tail + c->head_drag;
            if (bearing >= 0.0) { locked = 1; a.head = after; a.motor = after * c->ratio; motor_middle = middle * c->ratio; }
        }
        if (!locked) {
            bearing = 0.0;
            a.head = fmax(s.head - step * (h.torque + h.tail + c->head_drag) / c->head_j, 0.0);
            motor_middle = middle_free(c, source, duty, winding, s.motor, step);
            a.motor = fmax(2.0 * motor_middle - s.motor, 0.0);
        }
        a.locked = locked;
        /* the drive at the middle */
        Point p;
        p.current = current_at(c, source, duty, motor_middle, winding);
        p.voltage = fed(c, source, p.current, duty);
        p.drawn = duty * p.current + p.current * chop(c, duty) + ripple_of(c, p.voltage, duty);
        p.torque = (p.current - idle(c, motor_middle)) / c->kv;
        p.copper = p.current * p.current * winding_ohm(c, winding);
        p.iron = idle(c, motor_middle) * motor_middle / c->kv;
        p.ripple = p.voltage * ripple_of(c, p.voltage, duty);
        p.conduction = c->c_ohm * p.current * p.current;
        p.switching = p.voltage * p.current * chop(c, duty);
        p.freewheel = c->freewheel * p.current * fmax(1.0 - duty, 0.0);
        p.pack = p.drawn * p.drawn * source.ohm;
        for (int k = 0; k < RINGS; k++) flow[0][k] += step * flow[1][k];
        a.climb = s.climb + step * climb_rate(c, &s, h);
        a.height = s.height + half * (s.climb + a.climb);
        a.charge = s.charge - p.drawn * step / c->capacity;
        double settled = p.drawn * slow_ohm;
        a.slow = settled + (s.slow - settled) * exp(-step / c->slow_s);
        double to_case = (winding - casing) / c->rw, to_air = (casing - c->air_k) / c->rc;
        rate_w = (p.copper - to_case) / c->cw;
        rate_c = (p.iron + p.ripple + to_case - to_air) / c->cc;
        rate_k = (p.conduction + p.switching + p.freewheel - (ctrl - c->air_k) / c->rk) / c->ck;
        a.winding = s.winding + step * rate_w; a.casing = s.casing + step * rate_c; a.controller = s.controller + step * rate_k;
        /* books */
        double sag = slow_v + p.drawn * source.ohm, mean_head = 0.5 * (s.head + a.head), train = 0.5 * (s.motor + a.motor) / c->ratio;
        books[0] += step * p.drawn * (p.voltage + sag); books[1] += step * p.drawn * sag;
        books[2] += step * p.copper; books[3] += step * p.iron; books[4] += step * p.ripple;
        books[5] += step * p.conduction; books[6] += step * p.switching; books[7] += step * p.freewheel;
        double mesh = locked ? (1.0 - c->efficiency) * c->ratio * (p.torque - c->motor_j * (a.motor - s.motor) / step) * train
                             : (c->train_drag / c->efficiency - c->train_drag) * train;
        books[8] += step * (c->train_drag * train + c->head_drag * mean_head + mesh);
        books[10] += step * h.tail * mean_head;
        double mean_climb = 0.5 * (s.climb + a.climb);
        books[11] += step * (h.torque * mean_head - h.thrust * mean_climb);
        books[12] += step * h.drag * mean_climb;
        /* contacts */
        int caught = !locked && a.motor >= a.head * c->ratio;
        if (caught || a.height < 0.0) {
            double before = stored(c, &a), eff = c->efficiency * c->ratio * c->ratio * c->motor_j;
            if (caught) { a.head = (c->head_j * a.head + eff * a.motor / c->ratio) / (c->head_j + eff); a.motor = a.head * c->ratio; a.locked = 1; }
            if (a.height < 0.0) { a.height = 0.0; a.climb = fmax(a.climb, 0.0); }
            books[caught ? 9 : 13] += before - stored(c, &a);
        }
        s = a;
        drawn = p.drawn;
        collective = asked + (collective - asked) * lag_whole;
        if ((n + 1) % steps_a_row == 0) {
            double *o = record + (long)((n + 1) / steps_a_row) * 16;
            o[0] = (n + 1) * step; o[1] = s.head; o[2] = s.motor; o[3] = s.height; o[4] = s.climb; o[5] = s.charge; o[6] = s.winding;
            o[7] = s.casing; o[8] = s.controller; o[9] = duty; o[10] = p.voltage; o[11] = p.drawn; o[12] = p.current; o[13] = collective;
            o[14] = bearing; o[15] = h.thrust;
            if (!(fabs(s.head + s.motor + s.climb + s.winding) < 1e12)) return 1;
        }
    }
    return 0;
}
