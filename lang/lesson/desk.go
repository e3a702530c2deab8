package lesson

import (
	"context"
	"errors"
	"io"
	"strings"

	"pulsewright/builtins"
	"pulsewright/lang"

	"go.starlark.net/starlark"
)

// desk is where a lesson's code and the learner's commands run: a session that is made anew when the lesson goes to another place.
type desk struct {
	cfg     lang.Config
	out     gate
	err     gate
	session *lang.Session
}

// gate lets through what is written, or not.
type gate struct {
	w    io.Writer
	shut bool
}

func (g *gate) Write(p []byte) (int, error) {
	if g.shut || g.w == nil {
		return len(p), nil
	}
	return g.w.Write(p)
}

func newDesk(cfg lang.Config) *desk {
	d := &desk{cfg: cfg, out: gate{w: cfg.Out}, err: gate{w: cfg.Err}}
	d.cfg.Out, d.cfg.Err = &d.out, &d.err
	if page := cfg.Page; page != nil {
		d.cfg.Page = func(text string) {
			if !d.out.shut {
				page(text)
			}
		}
	}
	if play := cfg.Player; play != nil {
		d.cfg.Player = func(ctx context.Context, f builtins.Film, pace float64) error {
			if d.out.shut {
				return nil
			}
			return play(ctx, f, pace)
		}
	}
	return d
}

// anew is an empty bench.
func (d *desk) anew() error {
	d.close()
	s, err := lang.New(d.cfg)
	d.session = s
	return err
}

func (d *desk) close() {
	if d.session != nil {
		d.session.Close()
		d.session = nil
	}
}

// quiet runs something that nobody sees.
func (d *desk) quiet(do func() error) error {
	out, err := d.out.shut, d.err.shut
	d.out.shut, d.err.shut = true, true
	defer func() { d.out.shut, d.err.shut = out, err }()
	return do()
}

// at brings the desk to where it is when items begins: what went before has run, unseen.
func (d *desk) at(ctx context.Context, before []Item) error {
	if err := d.anew(); err != nil {
		return err
	}
	return d.quiet(func() error {
		for i := range before {
			if it := &before[i]; it.Kind == Show || it.Kind == Predict {
				if err := d.unseen(ctx, it); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// run runs code of an item, as if it were typed.
func (d *desk) run(ctx context.Context, it *Item, code string) error {
	if code == "" {
		return nil
	}
	if err := d.session.Present(ctx, code); err != nil {
		return &codeError{it.Where, err}
	}
	return nil
}

// show runs the code of an item for the learner to see, or unseen if it is hidden, and draws what is to be drawn.
func (d *desk) show(ctx context.Context, it *Item) error {
	if it.Hidden {
		return d.unseen(ctx, it)
	}
	if err := d.run(ctx, it, it.Code); err != nil || it.Picture == "" {
		return err
	}
	return d.session.Command(ctx, it.Picture+"()")
}

// unseen runs code as a script, which the learner can neither see nor undo.
func (d *desk) unseen(ctx context.Context, it *Item) error {
	if it.Code == "" {
		return nil
	}
	return d.quiet(func() error {
		if err := d.session.Exec(ctx, "lesson", it.Code); err != nil {
			return &codeError{it.Where, err}
		}
		return nil
	})
}

// ask calls a function of the lesson with the names that there are now.
func (d *desk) ask(ctx context.Context, it *Item, fn starlark.Callable) (starlark.Value, error) {
	names := starlark.NewDict(0)
	for name, v := range d.session.Names() {
		names.SetKey(starlark.String(name), v)
	}
	var v starlark.Value
	err := d.quiet(func() (err error) {
		v, err = d.session.Ask(ctx, fn, names)
		return err
	})
	if err != nil {
		return nil, &codeError{it.Where, err}
	}
	return v, nil
}

// missing asks an exercise's check what is missing; "" if nothing.
func (d *desk) missing(ctx context.Context, it *Item) (string, error) {
	v, err := d.ask(ctx, it, it.Verdict)
	if err != nil {
		return "", err
	}
	if v == starlark.None {
		return "", nil
	}
	said, ok := starlark.AsString(v)
	if !ok {
		return "", &codeError{it.Where, errors.New("check gives None or what is missing, in words; it gave " + v.String())}
	}
	return tidy(said), nil
}

// given is what happened, as an answer.
func (d *desk) given(ctx context.Context, it *Item) (string, error) {
	v, err := d.ask(ctx, it, it.Answer)
	if err != nil {
		return "", err
	}
	text, ok := it.reading(plain(v))
	if !ok {
		return "", &codeError{it.Where, errors.New("answer gives " + plain(v) + ", which is not " + it.wanted())}
	}
	return text, nil
}

// codeError is something wrong with the lesson, not with the learner.
type codeError struct {
	where string
	err   error
}

func (e *codeError) Error() string {
	if pos, _ := lang.Where(e.err); pos != "" && !strings.HasPrefix(pos, "<") {
		return e.err.Error()
	}
	return e.where + ": " + e.err.Error()
}
func (e *codeError) Unwrap() error { return e.err }
