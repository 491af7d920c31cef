/* The stand-in: one corner moved position by position, as a compiled program would do it.

   The same equations as the tool's: the upright's reference point p (the wheel centre) and rotation R; each link keeps
   |R a + p - c| = L; a strut's top mount stays on the axis fixed in the upright (two planes of the upright); the wheel
   centre's height is driven. Newton's iteration with the exact Jacobian (line coordinates), elimination with partial
   pivoting, each position started where the two before point to. Millimetres; quaternions x, y, z, w. */

#include <math.h>

#define ROWS 6
#define MOST_STEPS 20
#define TOLERANCE 1e-11

static void matrix(const double q[4], double r[3][3])
{
    double x = q[0], y = q[1], z = q[2], w = q[3];
    r[0][0] = 1 - 2 * (y * y + z * z); r[0][1] = 2 * (x * y - w * z); r[0][2] = 2 * (x * z + w * y);
    r[1][0] = 2 * (x * y + w * z); r[1][1] = 1 - 2 * (x * x + z * z); r[1][2] = 2 * (y * z - w * x);
    r[2][0] = 2 * (x * z - w * y); r[2][1] = 2 * (y * z + w * x); r[2][2] = 1 - 2 * (x * x + y * y);
}

static void turned(const double r[3][3], const double *a, double out[3])
{
    for (int i = 0; i < 3; i++) out[i] = r[i][0] * a[0] + r[i][1] * a[1] + r[i][2] * a[2];
}

static void row(double j[ROWS], const double f[3], const double arm[3])
{
    j[0] = f[0]; j[1] = f[1]; j[2] = f[2];
    j[3] = arm[1] * f[2] - arm[2] * f[1];
    j[4] = arm[2] * f[0] - arm[0] * f[2];
    j[5] = arm[0] * f[1] - arm[1] * f[0];
}

static int eliminate(double m[ROWS][ROWS + 1], double x[ROWS])
{
    for (int k = 0; k < ROWS; k++) {
        int best = k;
        for (int i = k + 1; i < ROWS; i++) if (fabs(m[i][k]) > fabs(m[best][k])) best = i;
        if (m[best][k] == 0.0) return 0;
        if (best != k)
            for (int c = k; c <= ROWS; c++) { double t = m[k][c]; m[k][c] = m[best][c]; m[best][c] = t; }
        for (int i = k + 1; i < ROWS; i++) {
            double part = m[i][k] / m[k][k];
            for (int c = k; c <= ROWS; c++) m[i][c] -= part * m[k][c];
        }
    }
    for (int k = ROWS - 1; k >= 0; k--) {
        double sum = m[k][ROWS];
        for (int c = k + 1; c < ROWS; c++) sum -= m[k][c] * x[c];
        x[k] = sum / m[k][k];
    }
    return 1;
}

/* links, arms (links, 3) in the upright, anchors (links, 3), lengths (links); planes (0 or 2) of the upright: normals
   (planes, 3), offsets, and the top mount they pass through; start: centre (3); travel (count): displacement of the
   centre's height; pose (count, 7): centre and quaternion. Returns how many positions were found. */
int move_corner(int links, const double *arms, const double *anchors, const double *lengths, int planes,
                const double *normals, const double *offsets, const double *top, const double *start, int count,
                const double *travel, double *pose)
{
    double p[3] = {start[0], start[1], start[2]}, q[4] = {0, 0, 0, 1};
    double before[7] = {start[0], start[1], start[2], 0, 0, 0, 1}, last = 0, earlier = 0;
    int found = 0;
    for (int n = 0; n < count; n++) {
        int settled = 0;
        double here[7] = {p[0], p[1], p[2], q[0], q[1], q[2], q[3]};
        if (last != earlier) {
            double part = (travel[n] - last) / (last - earlier);
            for (int k = 0; k < 3; k++) p[k] += part * (here[k] - before[k]);
            for (int k = 0; k < 4; k++) q[k] += part * (here[3 + k] - before[3 + k]);
            double size = sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]);
            for (int k = 0; k < 4; k++) q[k] /= size;
        }
        earlier = last;
        last = travel[n];
        for (int k = 0; k < 7; k++) before[k] = here[k];
        for (int step = 0; step < MOST_STEPS && !settled; step++) {
            double r[3][3], m[ROWS][ROWS + 1], x[ROWS], worst = 0;
            matrix(q, r);
            for (int i = 0; i < links; i++) {
                double arm[3], u[3];
                turned(r, arms + 3 * i, arm);
                for (int k = 0; k < 3; k++) u[k] = arm[k] + p[k] - anchors[3 * i + k];
                double length = sqrt(u[0] * u[0] + u[1] * u[1] + u[2] * u[2]);
                for (int k = 0; k < 3; k++) u[k] /= length;
                row(m[i], u, arm);
                m[i][ROWS] = lengths[i] - length;
            }
            for (int i = 0; i < planes; i++) {
                double normal[3], arm[3], sum = 0;
                turned(r, normals + 3 * i, normal);
                for (int k = 0; k < 3; k++) { arm[k] = top[k] - p[k]; sum += normal[k] * arm[k]; normal[k] = -normal[k]; }
                row(m[links + i], normal, arm);
                m[links + i][ROWS] = offsets[i] - sum;
            }
            for (int c = 0; c < ROWS; c++) m[5][c] = c == 2;
            m[5][ROWS] = start[2] + travel[n] - p[2];
            for (int i = 0; i < ROWS; i++) if (fabs(m[i][ROWS]) > worst) worst = fabs(m[i][ROWS]);
            if (worst < TOLERANCE) { settled = 1; break; }
            if (!eliminate(m, x)) break;
            for (int k = 0; k < 3; k++) p[k] += x[k];
            double a = 0.5 * x[3], b = 0.5 * x[4], c = 0.5 * x[5];
            double t[4] = {a * q[3] + b * q[2] - c * q[1] + q[0], b * q[3] + c * q[0] - a * q[2] + q[1],
                           c * q[3] + a * q[1] - b * q[0] + q[2], q[3] - a * q[0] - b * q[1] - c * q[2]};
            double size = sqrt(t[0] * t[0] + t[1] * t[1] + t[2] * t[2] + t[3] * t[3]);
            for (int k = 0; k < 4; k++) q[k] = t[k] / size;
        }
        found += settled;
        for (int k = 0; k < 3; k++) pose[7 * n + k] = p[k];
        for (int k = 0; k < 4; k++) pose[7 * n + 3 + k] = q[k];
    }
    return found;
}
