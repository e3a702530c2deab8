package lang

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/lang/source"

	"go.starlark.net/syntax"
)

// hostileTexts are names for what a terminal would obey, hide or take for another line, each short enough for a message to show it,
// and for what holds such texts.
const hostileTexts = `
title_, clear_, colour_, bell_ = "ebb5\x1b]0;x\x07", "\x1b[2Jebb5", "ebb5\u009b31m", "ebb5\x08\r\x07"
turned_, joined_, lines_, stray_ = "ebb5\u202evsc.\u2066", "ebb5\u200d\ufeff", "ebb5\u2028x\u2029", "ebb5" + "岸"[:1] + "岸"[1:]
broken_, every_ = "ebb5\nFORGED", "ebb5\x1b[2J\u009b\u202e\u2028\r" + "岸"[:1]
def told_(*args, **named):
    """ebb5\x1b[2J\u009b\u202e\u2028."""
    fail(every_)
def gives_(*args, **named): return every_
bad_ = struct(name=every_, build=lambda f: struct(input=f.wire((0, 0)), out=probe((0, 0)), note=every_), send=lambda rig, n: fire(rig.input, n),
    read=lambda rig: every_, over=[1], author=every_, version=every_, note=every_)
failing_ = struct(name=every_, build=told_, send=told_, read=told_, over=[1])
rows_ = table([[every_, 1], [every_, 2]], head=[every_, every_ + "2"])
`

var hostileValues = strings.Split(`title_; clear_; colour_; bell_; turned_; joined_; lines_; stray_; broken_; every_; [every_]; [title_, 1]; [[every_, every_]]; (every_, every_);
	{every_: every_}; [{every_: every_}]; {'quay': every_}; struct(quay=every_); told_; gives_; bad_; failing_; [bad_]; rows_`, ";")

// ownCalls are calls of words whose example has none, takes long, or gives no reason to look at some parameters.
var ownCalls = map[string]string{
	"against":   `table([[1]], head=["berth"]) |against(table([[1]], head=["berth"]), table([[2]], head=["berth"]))`,
	"calibrate": `|calibrate(order="+x -x +y -y +z -z", news="fifo", reads="turn", travel=2, reach=24, run=6, parts=4)`,
	"frame.put": `f = frame()|f.put(lamp, (1, 0))`,
	"compare":   sizedDesign + `|compare([row])`,
	"datasheet": sizedDesign + `|datasheet(row)`,
	"differ":    sizedDesign + `|differ(row, row, n=1, size=1)`,
	"harden":    sizedDesign + `|harden(row)`,
	"recovery":  sizedDesign + `|recovery(row)`,
	"shrink":    sizedDesign + `|shrink(row)`,
	"spare":     sizedDesign + `|spare(row)`,
	"survey":    sizedDesign + `|survey(row)`,
	"sweep":     sizedDesign + `|sweep(row)`,
	"why":       `w = wire((0, 0)); fire(w); run()|why(w)`,
}

const sizedDesign = `
def build(f, size): return struct(input=f.wire((0, 0)), out=probe(f.part((0, 0))))
row = struct(name="row", build=build, send=lambda rig, n: fire(rig.input, n), read=lambda rig: rig.out.width, over=[1], pitch=(2, 0, 0))`

// unshown are parameters that are given hostile values of which nothing is ever shown, and why.
var unshown = map[string]string{
	"arg.name":              "a script that was given no argument of this name goes on with the default",
	"calibrate.for_designs": "the message has the type", "calibrate.size": "it goes with designs only", "task.into": "the message has the type", "task.out": "the message has the type",
	"expect.cond":  "only its truth is asked for",
	"events.frame": noSuchFrame, "export.frame": noSuchFrame, "log.frame": noSuchFrame, "map.frame": noSuchFrame, "parts.frame": noSuchFrame, "play.frame": noSuchFrame,
	"parts.attribute": "no part has a name that holds such a text",
}

const noSuchFrame = "nothing lies in a frame of such a name"

// frameOf is a call of a word that is right, with what stands before it.
type frameOf struct {
	setup, fn string
	args      []string // as they are written
	named     []string // by which names; "" of those by position
}

// framesOf are calls in which a word may be given something else: those of its example, one of our own, and one without arguments.
func framesOf(t *testing.T, e builtins.Entry) []frameOf {
	var frames []frameOf
	if own, ok := ownCalls[e.Name]; ok {
		setup, call, _ := strings.Cut(own, "|")
		frames = callsIn(t, e.Name, setup+"\n"+call)
	}
	if e.Name == "calibrate" {
		return frames // what is left open takes long
	}
	frames = append(frames, callsIn(t, e.Name, e.Example)...)
	return append(frames, frameOf{setup: "f = frame()", fn: strings.Replace(e.Name, "frame.", "f.", 1)})
}

// callsIn finds the calls of a word in a script.
func callsIn(t *testing.T, word, script string) (frames []frameOf) {
	f, err := source.Dialect.Parse(word, script, 0)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(script, "\n")
	at := func(p syntax.Position) int { return len(strings.Join(lines[:p.Line-1], "")) + int(p.Col) - 1 }
	text := func(n syntax.Node) string {
		from, to := n.Span()
		return script[at(from):at(to)]
	}
	for _, stmt := range f.Stmts {
		begin, _ := stmt.Span()
		syntax.Walk(stmt, func(n syntax.Node) bool {
			call, ok := n.(*syntax.CallExpr)
			if !ok || text(call.Fn) != strings.Replace(word, "frame.", "f.", 1) {
				return true
			}
			c := frameOf{setup: script[:at(begin)], fn: text(call.Fn)}
			for _, a := range call.Args {
				name := ""
				if b, ok := a.(*syntax.BinaryExpr); ok && b.Op == syntax.EQ {
					name, a = text(b.X), b.Y
				}
				c.args, c.named = append(c.args, text(a)), append(c.named, name)
			}
			if _, err := source.Dialect.Parse(word, c.fn+"("+strings.Join(c.args, ", ")+")", 0); err == nil { // the span of x[0] ends too early
				frames = append(frames, c)
			}
			return true
		})
	}
	return frames
}

// with is the call with a value for a parameter, the i-th of the word.
func (c frameOf) with(i int, p builtins.Param, value string) string {
	var args []string
	put := false
	for k, a := range c.args {
		if c.named[k] == p.Name || c.named[k] == "" && k == i {
			a, put = value, true
		}
		if c.named[k] != "" {
			a = c.named[k] + "=" + a
		}
		args = append(args, a)
	}
	switch {
	case put:
	case p.Variadic && p.Keyword:
		args = append(args, "name="+value)
	case p.Variadic:
		args = append(args, value)
	default:
		args = append(args, p.Name+"="+value)
	}
	return c.fn + "(" + strings.Join(args, ", ") + ")"
}

// hostile is a session in which words are given what is hostile.
type hostile struct {
	t     *testing.T
	out   bytes.Buffer
	s     *Session
	setup string // what it has run
	dirty bool   // something was done since
	shown bool
}

// call runs a call after its setup, and looks at all that is shown of it. It says whether the word has looked at its arguments.
func (h *hostile) call(setup, src string) bool {
	if h.s == nil || h.dirty || h.setup != setup {
		if h.s != nil {
			h.s.Close()
		}
		s, err := New(Config{Out: &h.out, Err: &h.out, Dir: h.t.TempDir(), Workers: 1, Progress: func(what string, _, _ int64) { h.out.WriteString(what + "\n") }})
		if err != nil {
			h.t.Fatal(err)
		}
		h.s, h.setup, h.dirty = s, setup, false
		if err := h.do(hostileTexts + setup); err != nil {
			h.t.Fatalf("%v in\n%s", err, setup)
		}
	}
	if _, err := source.Dialect.Parse("a call", src, 0); err != nil {
		h.t.Fatalf("%v in %s", err, src)
	}
	h.out.Reset()
	err := h.do(src)
	if h.dirty = err == nil; h.dirty {
		h.do(`print(_ if type(_) != "string" else [_])`) // a text by itself is printed as it is
	}
	said := h.out.String()
	if found := driving(said); found != "" {
		h.t.Errorf("%q in what this shows:\n%s", found, src)
	}
	if strings.Contains(said, "\nFORGED") {
		h.t.Errorf("a text breaks the line in what this shows:\n%s\n%s", src, said)
	}
	h.shown = h.shown || strings.Contains(said, "ebb5")
	for _, sign := range []string{"missing argument", "given twice", "not defined", "no parameter"} {
		if err != nil && strings.Contains(err.Error(), sign) {
			return false
		}
	}
	return true
}

func (h *hostile) do(src string) error {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	err := h.s.Command(ctx, src)
	if err != nil {
		h.s.Report(err)
		h.out.WriteString(failureText("tests.star", "test", err, h.s.cfg))
	}
	return err
}

// TestArgumentsShowNoEscapes gives every parameter of every word what is hostile, among arguments that are right. Whether the word takes it or
// refuses it: what is shown does not drive a terminal, hides nothing, and is on lines of its own. Each parameter is known to have been given
// such a value, and the value to have been shown, but for those of which nothing is ever said.
func TestArgumentsShowNoEscapes(t *testing.T) {
	for _, e := range append(slices.Clone(builtins.Entries()), argEntry) {
		frames := framesOf(t, e)
		for i, p := range e.Params {
			h := hostile{t: t}
			fed := false
			for _, c := range frames {
				for _, v := range hostileValues {
					fed = h.call(c.setup, c.with(i, p, strings.TrimSpace(v))) || fed
				}
				if h.shown {
					break
				}
			}
			h.s.Close()
			name := e.Name + "." + p.Name
			switch why := unshown[name]; {
			case !fed:
				t.Errorf("%s is never given a hostile value", name)
			case !h.shown && why == "":
				t.Errorf("%s: nothing is shown of a hostile value", name)
			case h.shown && why != "":
				t.Errorf("%s: a hostile value is shown after all, said was: %s", name, why)
			}
		}
	}
}
