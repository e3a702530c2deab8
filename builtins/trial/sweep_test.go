package trial

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// TestSweepWorkers: one worker or eight, the table is the same, byte for byte; random numbers too, and what is printed.
func TestSweepWorkers(t *testing.T) {
	const script = PlainLine + `
def trial(n, reach):
    rules(reach=reach)
    w = wire((0, 0), (n, 0))
    p = probe(w.last)
    fire(w.first, rand(20) + 1)
    run()
    print(n, reach)
    return dict(width=p.width, luck=rand(1000))

print(sweep(trial, dict(n=range(30), reach=[5, 20, 40])))
print(sweep(line, dict(travel=[1, 2], n=range(40), fall=["early", "late"])))
print(sweep(line, range(100), until=lambda row: row.n == 57))
`
	want := ""
	for _, workers := range []int{1, 2, 8} {
		s := stage.New()
		s.Workers = workers
		stage.MustSession(t, s, script)
		if want == "" {
			want = s.Printed.String()
		}
		if got := s.Printed.String(); got != want {
			t.Errorf("with %d workers:\n%s\nwith one:\n%s", workers, got, want)
		}
	}
	if !strings.Contains(want, "57") || strings.Contains(want, "\n58 ") {
		t.Errorf("until did not end the sweep:\n%s", want)
	}
}

// TestFence: what the session holds cannot be changed by trials, nor raced for, and is as before when they are done.
func TestFence(t *testing.T) {
	s := stage.New()
	s.Workers = 8
	stage.MustSession(t, s, `
numbers = [1, 2, 3]
table_of = {"a": [1]}
def maker():
    seen = [0]
    def count():
        seen[0] += 1
        return seen[0]
    return count
count = maker()
def bad(n):
    numbers.append(n)
lamp((0, 0), name="l")
`)
	stage.MustSession(t, s, "l = parts()[0]\nmine = numbers\n")
	stage.MustSession(t, s, "t = sweep(lambda n: numbers[0] + len([x for x in numbers for y in table_of[\"a\"]]) + n, range(200))")
	stage.MustSession(t, s, "expect_equal(t.column(\"result\"), [4 + n for n in range(200)])")
	for _, c := range []struct{ script, want string }{
		{"sweep(bad, range(100))", "append to frozen list"},
		{"sweep(lambda n: count(), range(9))", "count cannot be used in a trial: it holds values of its own"},
		{"sweep(lambda n: l.state, range(9))", "l cannot be used in a trial: it belongs to the session's bench"},
		{"def grow(n, acc=[]):\n    acc.append(n)\nsweep(grow, range(9))", "append to frozen list"},
	} {
		if err := stage.Session(t, s, c.script); err == nil || !strings.Contains(builtins.Message(err), c.want) || !strings.HasPrefix(builtins.Message(err), "sweep: trial 1 of ") {
			t.Errorf("%s: got %v, want %q", c.script, err, c.want)
		}
	}
	stage.MustSession(t, s, "numbers.append(4)\ntable_of[\"b\"] = 2\nexpect_equal(count(), 1)\nexpect_equal(l.state, \"dark\")\nexpect_equal(mine, [1, 2, 3, 4])")
}

// TestFenceRace: many trials read the same names at once; run with -race this is where a race would show.
func TestFenceRace(t *testing.T) {
	s := stage.New()
	s.Workers = 8
	stage.MustSession(t, s, PlainLine+`
shared = {"widths": [n for n in range(40)], "of": struct(xs=[1, 2, 3])}
inner = sweep(lambda n: [x for x in shared["of"].xs for k in shared] + sweep(lambda m: m + n, range(3)).column("result"), range(300))
expect_equal(len(inner), 300)
again = sweep(line, [n + 1 for n in shared["widths"]])
shared["more"] = again
`)
}

// TestSweepErrors: a mistake of the script ends the sweep, the one of the lowest number; what the bench did wrong is a result.
func TestSweepErrors(t *testing.T) {
	for _, workers := range []int{1, 8} {
		s := stage.New()
		s.Workers = workers
		err := stage.Session(t, s, "def f(n):\n    if n in [57, 60, 90]:\n        fail(\"no\", n)\n    return n\nsweep(f, range(100))")
		if err == nil || builtins.Message(err) != "sweep: trial 58 of 100: fail: no 57" {
			t.Errorf("%d workers: %v", workers, err)
		}
		stage.MustSession(t, s, "expect_equal(len(kept()), 57)")
		stage.MustSession(t, s, "def ring(n):\n    if n == 3:\n        g = gate(op=\"not\")\n        patch(g, g)\n        nudge(g)\n    run(budget=100)\n    return n\nt = sweep(ring, range(6))\nexpect_equal(len(t.where(error=None)), 5)\nexpect(t.column(\"error\")[3].startswith(\"run: tick 1 does not end\"))")
	}
}

// TestSweepInterrupted: what was done is kept.
func TestSweepInterrupted(t *testing.T) {
	s := stage.New()
	s.Workers = 2
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	s.Ctx = ctx
	s.Progress = func(_ string, done, total int64) {
		if done == 20 {
			cancel()
		}
	}
	err := stage.Session(t, s, "sweep(lambda n: n * n, range(100000))")
	var stopped *engine.Stopped
	if !errors.As(err, &stopped) {
		t.Fatalf("got %v, want it stopped", err)
	}
	s.Ctx = nil
	stage.MustSession(t, s, "t = kept()\nexpect(20 <= len(t) and len(t) < 100000)\nexpect_equal(t.column(\"result\"), [n * n for n in range(len(t))])")
}

// TestTableWork: sorting, choosing, saving.
func TestTableWork(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	stage.MustSession(t, s, `
t = table([[3, "c, d"], [1, "b"], [None, "x"], [3, "a"]], head=["n", "w"])
expect_equal(t.sort("n", "w").column("w"), ["b", "a", "c, d", "x"])
expect_equal(t.sort("n", reverse=True).column("n"), [None, 3, 3, 1])
expect_equal(t.where(n=3).column("w"), ["c, d", "a"])
expect_equal(len(t.where(lambda row: row.w == "x")), 1)
t.save("t.csv")
t.save("t.json")
expect_error(lambda: t.sort("m"), "no column \"m\"")
expect_error(lambda: t.save("../t.csv"), "outside the working folder")
sweep(lambda x: x % 3, range(12)).plot(path="p.svg")
sweep(lambda a, b: a * b, dict(a=range(9), b=range(5))).plot(path="h.svg")
sweep(lambda a, b: a * b, dict(a=range(9), b=range(5))).plot()
`)
	for file, want := range map[string]string{
		"t.csv":  "n,w\r\n3,\"c, d\"\r\n1,b\r\n,x\r\n3,a\r\n",
		"t.json": "[\n{\"n\": 3, \"w\": \"c, d\"},\n{\"n\": 1, \"w\": \"b\"},\n{\"n\": null, \"w\": \"x\"},\n{\"n\": 3, \"w\": \"a\"}\n]\n",
	} {
		got, err := os.ReadFile(dir + "/" + file)
		if err != nil || string(got) != want {
			t.Errorf("%s: %q %v", file, got, err)
		}
	}
	for file, marks := range map[string]int{"p.svg": 12, "h.svg": 45} {
		got, err := os.ReadFile(dir + "/" + file)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(got), `class="on"`); n != marks {
			t.Errorf("%s has %d marks, want %d", file, n, marks)
		}
	}
	if got := s.Printed.String(); !strings.Contains(got, "result over a and b") || !strings.Contains(got, "4  ⠂⠂⠂⠂⠒⠒") {
		t.Errorf("the heat map:\n%s", got)
	}
}

// maxPlus is x(k) = A (x) x(k-1), the reference for the networks below, written as the sources have it.
func maxPlus(a [][]int, x []int, steps int) (orbit [][]int) {
	for range steps {
		next := make([]int, len(x))
		for i := range a {
			next[i] = -1 << 30
			for j, w := range a[i] {
				if w >= 0 {
					next[i] = max(next[i], w+x[j])
				}
			}
		}
		x = next
		orbit = append(orbit, x)
	}
	return orbit
}

// TestSweepMaxPlus builds each max-plus system of transport delays, hold gates and start inputs and sweeps its start:
// R5: Max-Plus Algebra Toolbox manual 1.7 (Stanczyk 2016), Ex. 2.41, 2.46, 4.1: from (0,0): (7,4) (11,9) (16,13) (20,18) (25,22) (29,27).
// R6: the same, 4.4.1, eqs. (53)-(58): from (2,0,8), period 11.
// R7: Heidergott, Olsder, van der Woude, Max Plus at Work, 2006, ch. 0: from (0,0): (5,3) (8,8) (13,11) (16,16).
func TestSweepMaxPlus(t *testing.T) {
	const net = `
def trial(system, start):
    a, steps = system
    n = len(a)
    nodes = [gate(op="xor", name="x%d" % i) for i in range(n)]
    for i in range(n):
        joint = gate(op="hold")
        for j in range(n):
            if a[i][j] >= 0:
                d = delay(ticks=a[i][j], mode="transport")
                patch(nodes[j], d)
                patch(d, joint)
        patch(joint, nodes[i])
        k = key(name="k%d" % i)
        patch(k, nodes[i])
        press(k, at=1 + start[i])
    run(ticks=120)
    orbit = [[e.tick - 1 for e in events(target=x) if e.what in ["on", "off"]] for x in nodes]
    return dict(orbit=[tuple([orbit[i][k] for i in range(n)]) for k in range(1, steps + 1)])
`
	for _, c := range []struct {
		source  string
		a       [][]int
		starts  [][]int
		printed string // the numbers the source prints for the first start
	}{
		{"R5", [][]int{{3, 7}, {2, 4}}, [][]int{{0, 0}, {1, 0}}, "[(7, 4), (11, 9), (16, 13), (20, 18), (25, 22), (29, 27)]"},
		{"R6", [][]int{{5, -1, 5}, {-1, 6, 3}, {11, 12, 11}}, [][]int{{2, 0, 8}}, "[(13, 11, 19), (24, 22, 30), (35, 33, 41), (46, 44, 52)]"},
		{"R7", [][]int{{2, 5}, {3, 3}}, [][]int{{0, 0}, {1, 0}}, "[(5, 3), (8, 8), (13, 11), (16, 16)]"},
	} {
		steps := strings.Count(c.printed, "(")
		s := stage.New()
		s.Workers = 2
		list := func(x any) string { return strings.ReplaceAll(fmt.Sprint(x), " ", ", ") }
		stage.MustSession(t, s, net+fmt.Sprintf("t = sweep(trial, dict(system=[(%s, %d)], start=%s))\n", list(c.a), steps, list(c.starts)))
		for k, start := range c.starts {
			var want []string
			for _, x := range maxPlus(c.a, start, steps) {
				want = append(want, "("+strings.Trim(list(x), "[]")+")")
			}
			got := s.Names["t"].(*builtins.Table).Rows[k][2].String()
			if got != "["+strings.Join(want, ", ")+"]" {
				t.Errorf("%s from %v: got %s, want %v", c.source, start, got, want)
			}
			if k == 0 && got != c.printed {
				t.Errorf("%s: got %s, the source prints %s", c.source, got, c.printed)
			}
		}
	}
}

// TestSweepVernier: of an interval of T ticks on a vernier line of delays t1 and t2, T - k(t1 - t2) is left after k stages, so
// ceil(T / (t1 - t2)) taps fire. Dudek, Szczepanski, Hatfield, IEEE J. Solid-State Circuits 35(2), 2000, 240-247 (R12).
func TestSweepVernier(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def trial(T):
    t1, t2 = 6, 4
    a, b = key(name="start"), key(name="stop")
    press(a, at=1)
    press(b, at=1 + T)
    taps, x, y = [], a, b
    for k in range(12):
        inv = gate(op="not")
        patch(y, inv)
        v = gate(op="and", name="v%d" % k)
        patch(x, v)
        patch(inv, v)
        taps.append(probe(v))
        d1, d2 = delay(ticks=t1, mode="transport"), delay(ticks=t2, mode="transport")
        patch(x, d1)
        patch(y, d2)
        nudge(inv)
        x, y = d1, d2
    run()
    left = [p.pulses[0].ticks for p in taps if p.pulses and p.pulses[0].ticks > 0]  # a dead heat gives no tick
    return dict(fired=len(left), left=left)
t = sweep(trial, range(1, 20))
for T, fired, left in t.rows:
    expect_equal(fired, (T + 1) // 2)
    expect_equal(left, [T - 2 * k for k in range(fired)])
expect_equal(t.rows[4][2], [5, 3, 1])
`)
}

// TestSweepColumns: no column hides another, and a run that went wrong is never right.
func TestSweepColumns(t *testing.T) {
	s := stage.New()
	for _, c := range []struct{ script, want string }{
		{"sweep(lambda n: dict(n=n * n), [2, 3])", "sweep: trial 1 of 2: the function gives 4 as \"n\", which is the name of a variable that is 2; want another name"},
		{"sweep(lambda n: struct(n=n * n), [1, 2, 3])", "sweep: trial 2 of 3: the function gives 4 as \"n\", which is the name of a variable that is 2; want another name"},
		{"sweep(lambda a, b: dict(b=a), dict(a=[1], b=[2]))", "sweep: trial 1 of 1: the function gives 1 as \"b\", which is the name of a variable that is 2; want another name"},
		{"sweep(lambda n: {\"1\": n, 1: n}, [5])", "sweep: trial 1 of 1: the function gives two values named \"1\"; want a name for each"},
		{"sweep(lambda n: dict(error=n), [5])", "sweep: trial 1 of 1: the function gives a value named \"error\", which is the column of runs that went wrong; want another name"},
		{"sweep(lambda result: result + 1, [5])", "sweep: trial 1 of 1: the function gives 6 as \"result\", which is the name of a variable that is 5; want another name"},
		{"sweep(lambda error: 1, [5])", "sweep: a variable is named \"error\", which is the column of runs that went wrong; want another name"},
	} {
		if err := stage.Session(t, s, c.script); err == nil || builtins.Message(err) != c.want {
			t.Errorf("%s\ngot  %v\nwant %s", c.script, err, c.want)
		}
	}
	stage.MustSession(t, s, PlainFunctions+`
t = sweep(lambda n: dict(n=n, twice=2 * n), [2, 3])
expect_equal(t.head, ("n", "twice"))
expect_equal(t.rows, ((2, 4), (3, 6)))
expect_equal(sweep(lambda n: {1: n, None: 2 * n}, [5]).head, ("n", "1", "None"))

# A run that does not end reads nothing, which is not None.
def ring(f):
    g = f.gate(op="not")
    patch(g, g)
    return struct(g=g)
t = sweep(struct(name="ring", build=ring, send=lambda rig, n: nudge(rig.g), read=lambda rig: None, over=[None]))
expect_equal(t.column("read"), [None])
expect_equal(t.column("right"), [False])
expect("does not end" in t.column("error")[0])
`)
}

// TestPlotSaysWhatItHides: of several rows on one field of a heat map one is seen, and the picture says so.
func TestPlotSaysWhatItHides(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	stage.MustSession(t, s, `
t = sweep(lambda a, b, c: a + b + c, dict(a=[1, 2], b=[1, 2], c=[1, 2]))
plot(t, x="a", y="b", z="result")
plot(t, x="a", y="b", z="result", path="h.svg")
`)
	const says = "4 fields with several rows: the last of them is shown"
	if got := s.Printed.String(); !strings.Contains(got, says) || !strings.Contains(got, "from 4 to 6") {
		t.Errorf("the heat map:\n%s", got)
	}
	picture, err := os.ReadFile(dir + "/h.svg")
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(picture), `class="on"`); n != 4 || !strings.Contains(string(picture), says) {
		t.Errorf("%d marks, want 4; %s", n, picture)
	}
}

// TestNothingToSend: no experiment makes a table or a report of nothing, and all say so alike.
func TestNothingToSend(t *testing.T) {
	for call, want := range map[string]string{
		`sweep(line, over=[])`:                       "sweep: for parameter over: got no numbers to send, want at least one, or None for those of the design",
		`sweep(line, over={"n": []})`:                "sweep: for parameter over: got no numbers to send, want at least one, or None for those of the design",
		`sweep(line, over={"n": [1], "news": []})`:   `sweep: for parameter over: got no values of "news", want at least one`,
		`survey(line, over=[])`:                      "survey: for parameter over: got no numbers to send, want at least one, or None for those of the design",
		`recovery(line, over=[])`:                    "recovery: for parameter over: got no numbers to send, want at least one, or None for those of the design",
		`sweep(design("e", build, send, read, []))`:  "sweep: the design e names no numbers to send; give some with over=",
		`survey(design("e", build, send, read, []))`: "survey: the design e names no numbers to send; give some with over=",
	} {
		s := stage.New()
		stage.MustSession(t, s, PlainLine)
		if got := s.Do(call); got != want {
			t.Errorf("%s: %s, want %s", call, got, want)
		}
	}
}

// TestRestlessTrial: a run to quiet that does not end is told in a trial without advice that goes with the word run alone.
func TestRestlessTrial(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, `
def build(f):
    f.wire((0, 0))
    d = f.delay((1, 0), "+x", ticks=1)
    g = f.gate((2, 0), "+x", "not")
    patch(d, g)
    patch(g, d)
    return struct(into=f.part((0, 0)), out=probe(f.part((0, 0))))
ring = design("ring", build, lambda rig, n: fire(rig.into, n), lambda rig: rig.out.width, [2])
why = sweep(ring).column("error")[0]
expect("not quiet within" in why and "timers of delay" in why and "give a number" not in why, why)
expect_error(lambda: recovery(ring), "not quiet within")
expect_equal("give a number" in expect_error(lambda: recovery(ring)), False)
`)
}

// TestSweepOwnWords: what a read says when it fails is its own, also if the language uses such words.
func TestSweepOwnWords(t *testing.T) {
	stage.MustDo(t, `
def build(f):
    return struct(into=f.wire((0, 0)))
def send(rig, n):
    fire(rig.into, n)
def read(rig):
    n = probe(rig.into).width
    if n == 3:
        fail("the harbour is frozen")
    return n
t = sweep(design("harbour", build, send, read, [2, 3, 4]))
expect_equal(t.column("error"), [None, "read: fail: the harbour is frozen", None])
`)
}
