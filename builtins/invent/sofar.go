package invent

import (
	"errors"
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// soFar keeps what the machine has come to by then when shrinking was stopped, and says so. It gives the error on.
func (s *shrinking) soFar(by string, err error) error {
	var stopped *engine.Stopped
	env := s.C.Env
	if !errors.As(err, &stopped) || env.Trial {
		return err
	}
	e := *env
	e.Bench, e.Width, e.Paint = engine.New(s.Rules), 100, say.Paint{}
	if _, err := s.now.place(e.Bench, builtins.World); err != nil {
		return err
	}
	sketch, failed := picture.MapText(&e)
	if failed != nil {
		return failed
	}
	d := s.designOf(nil)
	d.Name = fmt.Sprintf("%s, shrunk by %s so far", s.Name, by)
	var steps []starlark.Value
	var text strings.Builder
	text.WriteString(say.Fill(fmt.Sprintf("%s, shrunk by %s, stopped: %s, %s tried; a single change more may better it", say.OneLine(s.Name), by, say.Count(len(s.done), "step"), say.Count(s.tried, "changed machine")), "", "", 80) + "\n")
	for _, c := range s.done {
		steps = append(steps, starlark.String(c.text))
		text.WriteString(say.Fill(c.text, "  ", "    ", 80) + "\n")
	}
	text.WriteString(sketch)
	f := starlark.StringDict{"design": d, "steps": starlark.NewList(steps), "sketch": starlark.String(sketch), "tried": starlark.MakeInt(s.tried)}
	hold.FreezeAll(f)
	r := &builtins.Report{Name: "shrink", Text: text.String(), Fields: f}
	env.Kept = r
	env.Print(r.Text)
	env.Print("shrink: stopped; kept() gives this report, and shrink(kept().design) goes on")
	return err
}
