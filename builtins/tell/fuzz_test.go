package tell_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// FuzzKind tells a kind of any name and states whose function answers by a table of bytes, with any settings; it is refused in one clean line, or its parts are
// placed, told, run and shown, and the bench is sound.
func FuzzKind(f *testing.F) {
	for _, c := range []struct{ name, states, pads, hears, by string }{
		{"bell", "over,on", "", "", "now"}, {"reel", "one,two,three", "back,front", "back", "step"}, {"x", "a", "around", "front", "2"}, {"y", "a,b,a", "far_back", "", "0"},
		{"wire", "a,b", "", "", "once"}, {"\x1b[2J", "a,b", "", "", "step"}, {"y", "a,\u202eb", "", "", "9"}, {"y", "a,b,c,d,e,f,g,h", "back,sides", "", "now"}, {"y", "a,b", "none", "sides,sides", "99999999999"}} {
		for _, choices := range []uint16{0, 1, 2, 4 | 1<<13, 1<<4 | 3<<12, 1<<5 | 1<<7, 1<<6 | 1<<9 | 1<<11, uint16(len(c.states) * 777)} {
			f.Add(c.name, c.states, c.pads, c.hears, c.by, []byte("\x01\x00\x07\x02\x01"), choices)
		}
	}
	word := builtins.Predeclared()["kind"]
	f.Fuzz(func(t *testing.T, name, states, pads, hears, by string, answers []byte, choices uint16) {
		if len(states) > 60 || len(pads)+len(hears)+len(name) > 100 || len(answers) > 64 {
			t.Skip()
		}
		s := stage.New()
		ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
		defer cancel()
		s.Ctx = ctx
		list := strings.Split(states, ",")
		kwargs := settings(list, pads, hears, by, choices)
		asked := 0
		wants := starlark.NewBuiltin("wants", func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
			asked++
			if len(answers) == 0 || asked > 1<<12 {
				return starlark.None, nil
			}
			n := int(answers[asked*7%len(answers)])
			if n %= len(list) + 2; n >= len(list) {
				return starlark.None, nil
			}
			return starlark.String(list[n]), nil
		})
		kind, err := starlark.Call(s.Thread, word, starlark.Tuple{starlark.String(name), texts(list), wants}, kwargs)
		if err != nil {
			if msg := builtins.Message(err); strings.Contains(msg, "internal error") || say.Printable(msg) != msg || strings.Contains(msg, "\n") {
				t.Errorf("it says %q", msg)
			}
			return
		}
		s.Names["told"] = kind
		facing := `, "+x"`
		if choices&1 == 1 {
			facing = ""
		}
		msg := s.Do(strings.ReplaceAll(`
k = key((0, 0), hold=2)
a = told((1, 0)FACING)
b = told((2, 0)FACING)
wire((3, 0))
patch(k, b)
press(k)
run(turns=60)
nudge(a)
run(turns=60)
print(map())
print(state(a), why(b), a.armed)
`, "FACING", facing))
		if strings.Contains(msg, "internal error") || say.Printable(msg+s.Printed.String()) != msg+s.Printed.String() {
			t.Errorf("it says %q and prints %q", msg, s.Printed.String())
		}
		if err := s.Bench.Check(); err != nil {
			t.Error(err)
		}
	})
}

// settings are the named arguments of kind().
func settings(states []string, pads, hears, by string, choices uint16) (kw []starlark.Tuple) {
	bit := func(n int) bool { return choices>>n&1 == 1 }
	set := func(name string, v starlark.Value) { kw = append(kw, starlark.Tuple{starlark.String(name), v}) }
	set("facing", starlark.Bool(!bit(0)))
	last := starlark.String(states[len(states)-1])
	byLast := func(v starlark.Value) *starlark.Dict {
		d := starlark.NewDict(1)
		d.SetKey(last, v)
		return d
	}
	if pads != "" {
		set("pads", texts(strings.Split(pads, ",")))
	}
	if hears != "" {
		set("hears", texts(strings.Split(hears, ",")))
	}
	var when starlark.Value = starlark.String(by)
	if n, err := starlark.NumberToInt(numbered(by)); err == nil && by != "" && strings.Trim(by, "0123456789") == "" {
		when = n
	}
	switch {
	case bit(1):
		set("when", when)
	case bit(2):
		set("when", byLast(when))
	}
	if bit(3) {
		set("look", starlark.String("once"))
	}
	if bit(4) {
		set("then", byLast(starlark.MakeInt(int(choices>>12))))
	}
	if bit(5) {
		set("feeds", byLast(starlark.String([]string{"around", "front"}[choices>>6&1])))
	} else if bit(6) {
		set("feeds", byLast(starlark.Tuple{starlark.String("front"), starlark.MakeInt(int(choices >> 10))}))
	}
	if bit(7) {
		set("conducts", texts(states[:1]))
	}
	if bit(8) {
		set("tells", starlark.String([]string{"around", "front", "none"}[choices>>9%3]))
	}
	if bit(9) {
		set("says", byLast(starlark.None))
	}
	set("relook", starlark.Bool(bit(10)))
	if bit(11) {
		set("active", texts(states[:1]))
	}
	return kw
}

// numbered is the number that a text is; 0 if it is none.
func numbered(text string) starlark.Value {
	n := starlark.MakeInt(0)
	for _, r := range text {
		n = n.Mul(starlark.MakeInt(10)).Add(starlark.MakeInt(int(r - '0')))
	}
	return n
}

func texts(all []string) *starlark.List {
	list := starlark.NewList(nil)
	for _, s := range all {
		list.Append(starlark.String(s))
	}
	return list
}
