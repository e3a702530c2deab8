package trial

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// TestDesignFunctions holds to what help("design") says the three functions may do.
func TestDesignFunctions(t *testing.T) {
	const line = `
def build(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last), notes=[])
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
def of(build=build, send=send, read=read):
    return design("d", build, send, read, [2, 3])
`
	for name, script := range map[string]string{
		"send cannot note its start in the rig": `
def noting(rig, n):
    rig.notes.append(now())
    fire(rig.input, n)
expect_error(lambda: sweep(of(send=noting)), "frozen")
`,
		"events and probes know the start": `
def looking(rig):
    return rig.out.width if [e.tick for e in events(what="forced")] == [1] and rig.out.pulses[0].rise.tick == 1 else None
expect_equal(sweep(of(read=looking)).column("right"), [True, True])
`,
		"what else they hold is frozen": `
kept = []
def noting(rig, n):
    kept.append(n)
    fire(rig.input, n)
expect_error(lambda: sweep(of(send=noting)), "frozen")
def holder():
    mine = []
    def send(rig, n):
        mine.append(n)
        fire(rig.input, n)
    return send
expect_error(lambda: sweep(of(send=holder())), "frozen")
`,
		"a list that build's functions share begins anew in each trial": `
def counting(f):
    line = f.wire((0, 0), (9, 0))
    sent = []
    return struct(input=line.first, out=probe(line.last), note=lambda n: sent.append(n), sent=lambda: len(sent))
def noting(rig, n):
    rig.note(n)
    fire(rig.input, n)
def reading(rig):
    return rig.out.width if rig.sent() == 1 else None
expect_equal(sweep(of(counting, noting, reading)).column("right"), [True, True])
`,
		"build places on the bench it finds": `
def elsewhere(f):
    fresh()
    return build(f)
expect_error(lambda: sweep(of(elsewhere)), "must place its parts on the one it finds")
`,
	} {
		t.Run(name, func(t *testing.T) {
			if msg := stage.New().Do(line + script); msg != "" {
				t.Error(msg)
			}
		})
	}
}

// TestDesignAsSaid: a design shows what was said of it and None for what was not, and is written down as it was said; what has the
// functions of one is tried as one is.
func TestDesignAsSaid(t *testing.T) {
	const functions = `
def build(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last))
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
`
	s := stage.New()
	stage.MustSession(t, s, functions+`
plain = design("plain", build, send, read, [2, 3])
expect_equal([plain.slice, plain.pitch, plain.over], [None, None, (2, 3)])
flat = design("flat", build, send, read, lambda size: [size], slice=build, pitch=(0, 0))
expect_equal([flat.slice == build, flat.pitch, type(flat.over)], [True, (0, 0), "function"])
like = struct(build=build, send=send, read=read, over=[2, 3])
expect_equal(sweep(like).rows, sweep(plain).rows)
expect_error(lambda: sweep(struct(build=build, send=send, read=read)), "names no numbers to send")
`)
	for name, want := range map[string]string{
		"plain": `design("plain", build, send, read, (2, 3))`,
		"flat":  `design("flat", build, send, read, lambda, slice=build, pitch=(0, 0))`,
	} {
		w := &scribe{env: s.Env, taken: map[string]bool{}}
		for _, fn := range []string{"build", "send", "read"} {
			w.named = append(w.named, &naming{want: fn, name: fn, value: s.Names[fn], begun: true, done: true})
		}
		if over, ok := s.Names[name].(*Design).Over.(starlark.Callable); ok {
			w.named = append(w.named, &naming{want: "lambda", name: "lambda", value: over, begun: true, done: true})
		}
		if got, err := w.expr(s.Names[name], 0); err != nil || got != want {
			t.Errorf("%s is written down as %s, %v; want %s", name, got, err, want)
		}
	}
}

// Numbers without end are refused at once, wherever they come from.
func TestTooManyNumbers(t *testing.T) {
	const rig = "def f(*x): pass\ndef many(size): return range(1 << 30)\n"
	for script, want := range map[string]string{
		`design("d", f, f, f, over=range(1 << 30))`:                              "design: for parameter over: got 1073741824 values, want at most 10000000",
		`sweep(f, range(1 << 30))`:                                               "sweep: for parameter over: got 1073741824 values, want at most 10000000",
		`sweep(lambda a: a, {"a": range(1 << 30)})`:                              "sweep: for parameter over: got \"a\": 1073741824 values, want at most 10000000",
		`survey(design("d", lambda f, size: None, f, f, over=many), size=2)`:     "over(2) gives 1073741824 values, want at most 10000000",
		`survey(struct(name="d", build=f, send=f, read=f, over=range(1 << 30)))`: "design whose .over is 1073741824 values",
	} {
		if msg := stage.New().Do(rig + script); !strings.Contains(msg, want) {
			t.Errorf("%s: got %s, want %s", script, msg, want)
		}
	}
}
