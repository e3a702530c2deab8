package builtins

import (
	"errors"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Failure is the error of an expectation that was not met.
type Failure struct {
	Builtin   string
	Message   string // the user's own words, or ours
	Got, Want string // as a script would write them; "" where there is nothing to compare
}

// Error says all in one line, or in three where the values are long.
func (f *Failure) Error() string {
	s := f.Builtin + ":"
	if f.Message != "" {
		s += " " + f.Message
	}
	if f.Got == "" && f.Want == "" {
		return s
	}
	if f.Message != "" {
		s += ":"
	}
	if len(f.Got)+len(f.Want) > 80 {
		return s + "\n  got  " + f.Got + "\n  want " + f.Want
	}
	return s + " got " + f.Got + ", want " + f.Want
}

func expectWords() []Entry {
	return []Entry{
		{Name: "expect", Topic: "tests", Sentence: "Fails unless cond is true.",
			Params: []Param{{Name: "cond", Type: "value", Doc: "what should be true"},
				{Name: "msg", Type: "string", Default: "None", Optional: true, Doc: "what to say if it is not"}},
			Example: "w = wire((0, 0))\nexpect(w.state == \"dead\", \"a wire begins dead\")", See: []string{"expect_equal", "expect_error"}, Call: expect},
		{Name: "expect_equal", Topic: "tests", Sentence: "Fails unless got equals want, and shows both.",
			Params: []Param{{Name: "got", Type: "value", Doc: "what came out"}, {Name: "want", Type: "value", Doc: "what should have"},
				{Name: "msg", Type: "string", Default: "None", Optional: true, Doc: "what it is about"}},
			Example: "w = wire((0, 0), (4, 0))\nexpect_equal(len(w), 5)", See: []string{"expect", "expect_error"}, Call: expectEqual},
		{Name: "expect_error", Topic: "tests", Sentence: "Fails unless fn fails with an error that holds the text; the bench is then as it was before fn.",
			Params: []Param{{Name: "fn", Type: "function", Doc: "called without arguments"},
				{Name: "text", Type: "string", Default: `""`, Optional: true, Doc: "part of the error it should cause"}},
			Returns: "the whole text of the error",
			Example: "wire((0, 0))\nexpect_error(lambda: lamp((0, 0)), \"already\")", See: []string{"expect", "expect_equal"}, Call: expectError},
	}
}

func expect(c *Call) (starlark.Value, error) {
	msg := c.Str("msg")
	if c.Err != nil {
		return nil, c.Err
	}
	if c.Value("cond").Truth() {
		return nil, nil
	}
	f := &Failure{Builtin: "expect", Message: msg}
	if msg == "" {
		f.Message = "got " + c.Value("cond").String() + ", want something true"
	}
	return nil, f
}

func expectEqual(c *Call) (starlark.Value, error) {
	msg := c.Str("msg")
	if c.Err != nil {
		return nil, c.Err
	}
	same, err := starlark.Equal(c.Value("got"), c.Value("want"))
	if err != nil {
		return nil, c.Wrap(err)
	}
	if same {
		return nil, nil
	}
	return nil, &Failure{Builtin: "expect_equal", Message: msg, Got: c.Value("got").String(), Want: c.Value("want").String()}
}

func expectError(c *Call) (starlark.Value, error) {
	fn, ok := c.Value("fn").(starlark.Callable)
	if !ok {
		return nil, c.Bad("fn", Show(c.Value("fn")), "a function such as lambda: lamp((0, 0))")
	}
	text := c.Str("text")
	if c.Err != nil {
		return nil, c.Err
	}
	env := c.Env
	bench, notes := env.Bench, env.Notes
	before := bench.Snapshot()
	v, err := starlark.Call(c.Thread, fn, nil, nil)
	// A run that was stopped from outside is no error of fn.
	var stopped *engine.Stopped
	if errors.As(err, &stopped) || env.Stopped() != nil {
		return nil, err
	}
	bench.Restore(before)
	env.Bench, env.Notes = bench, notes
	env.moved()
	if err == nil {
		return nil, &Failure{Builtin: "expect_error", Message: "no error", Got: v.String(), Want: "an error" + holding(text)}
	}
	msg := Message(err)
	if !strings.Contains(msg, text) {
		return nil, &Failure{Builtin: "expect_error", Message: "another error", Got: starlark.String(msg).String(), Want: "one" + holding(text)}
	}
	return starlark.String(msg), nil
}

func holding(text string) string {
	if text == "" {
		return ""
	}
	return " that holds " + starlark.String(text).String()
}
