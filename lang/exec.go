package lang

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/lang/source"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"go.starlark.net/syntax"
)

// Exec runs a script. It stops at the first error and leaves names and bench as they are then.
// Errors have their place; Report prints them.
func (s *Session) Exec(ctx context.Context, name, src string) error {
	s.doing = src
	done, err := s.run(ctx, text{name: name, src: src, line: 1}, false)
	if done >= 0 {
		s.keep(part{src: src[:done], failed: err != nil && done < len(src)})
	}
	return err
}

// Call calls a function of the session without arguments.
func (s *Session) Call(ctx context.Context, fn string) error {
	f, ok := s.names.live[fn].(starlark.Callable)
	if !ok {
		return &Error{Msg: fmt.Sprintf("there is no function %s", fn)}
	}
	return s.guard(ctx, fn, func(thread *starlark.Thread) error {
		_, err := starlark.Call(thread, f, nil, nil)
		return err
	}, nil)
}

// text is a piece of source and where it stands.
type text struct {
	name string // of the file, or <shell>
	src  string
	line int // of its first line
}

func (t text) portion() syntax.FilePortion {
	return syntax.FilePortion{Content: []byte(t.src), FirstLine: int32(t.line), FirstCol: 1}
}

// run executes a program statement by statement (see toplevel.go) and returns how many bytes of it
// worked, -1 if it was never begun. With show, the value of each bare expression is shown and kept in _.
func (s *Session) run(ctx context.Context, t text, show bool) (done int, err error) {
	s.sources.add(t)
	f, err := s.check(t)
	if err != nil {
		return -1, err
	}
	// What the file binds further down may be mentioned in functions before it is there.
	will := map[string]bool{}
	source.Bound(f.Stmts, will)
	has := func(name string) bool { return will[name] || s.names.live.Has(name) }
	places := source.NewPlaces(t.src, t.line)
	var at syntax.Position
	err = s.guard(ctx, t.name, func(thread *starlark.Thread) error {
		for _, stmt := range f.Stmts {
			start, end := stmt.Span()
			at = start
			shown := false
			if e, ok := stmt.(*syntax.ExprStmt); ok && show {
				stmt = &syntax.AssignStmt{Op: syntax.EQ, OpPos: start, LHS: index(shownName, start), RHS: e.X}
				shown = !places.Silenced(end)
			} else {
				redirect([]syntax.Stmt{stmt})
			}
			file := &syntax.File{Path: t.name, Options: source.Dialect, Stmts: []syntax.Stmt{stmt}}
			lookFirst(file)
			prog, err := starlark.FileProgram(file, has)
			if err != nil {
				return err
			}
			globals, err := prog.Init(thread, s.names.live)
			for name, v := range globals { // defs and loads
				s.names.set(name, v)
			}
			if err != nil {
				return err
			}
			done = places.After(end)
			if v, ok := s.names.live[shownName]; ok {
				delete(s.names.live, shownName)
				s.value(v, shown)
			}
		}
		done = len(t.src)
		return nil
	}, &at)
	return done, err
}

// check parses a program and looks at its names, and returns its tree, as parsed.
func (s *Session) check(t text) (*syntax.File, error) {
	f, err := source.Dialect.Parse(t.name, t.portion(), 0)
	if err != nil {
		return nil, s.locate(err)
	}
	if err := resolve.File(f, s.names.live.Has, starlark.Universe.Has); err != nil {
		return nil, s.locate(err)
	}
	return source.Dialect.Parse(t.name, t.portion(), 0) // again: resolving has left its marks
}

// value shows the value of a bare expression and keeps it in _.
func (s *Session) value(v starlark.Value, show bool) {
	if v == starlark.None {
		return
	}
	s.names.set("_", v)
	if sh, ok := v.(builtins.Shown); !show || ok && sh.Shown() {
		return
	}
	if err := hold.Until(s.env.Stopped).CheckDepth(v); err != nil {
		fmt.Fprintf(s.env.Out, "%s: %v; it is kept in _\n", say.Article(v.Type()), err)
		return
	}
	if b, ok := v.(*starlark.Builtin); ok {
		fmt.Fprintln(s.env.Out, s.folded(s.about(b)))
		return
	}
	if p, ok := v.(builtins.Painted); ok {
		fmt.Fprintln(s.env.Out, p.Painted())
		return
	}
	if v, ok := v.(fitted); ok && s.cfg.Fold {
		s.page(s.folded(shortened(v.Fitted(s.width()), longTable)))
		return
	}
	str := v.String()
	if list, ok := v.(*starlark.List); ok && say.Columns(str) > s.width() {
		str = byLine(list, str)
	}
	if st, ok := v.(*starlarkstruct.Struct); ok && say.Columns(str) > s.width() {
		str = byField(st, str, s.width())
	}
	fmt.Fprintln(s.env.Out, shortened(str, longValue))
}

// How much is shown of a value, in bytes; of what goes to a pager there may be more.
const longValue, longTable = 20_000, 1_000_000

// shortened is a printable text that is not too long to be shown.
func shortened(str string, most int) string {
	if len(str) > most {
		str = strings.ToValidUTF8(str[:most], "") + fmt.Sprintf(" ... (%d characters in all; print(_) shows them)", len(str))
	}
	return say.Printable(str)
}

// byLine writes a list of a few long things that does not fit on a line, one a line; of numbers and short words it is str.
func byLine(list *starlark.List, str string) string {
	const few, long = 60, 16
	if n := list.Len(); n > few || len(str) < n*long {
		return str
	}
	var b strings.Builder
	for v := range list.Elements() {
		if b.Len() > 0 {
			b.WriteString(",\n ")
		}
		b.WriteString(v.String())
	}
	return "[" + b.String() + "]"
}

// byField writes a struct that does not fit on a line so that lines end between its fields; one that holds what takes lines of its own
// stays as it is.
func byField(st *starlarkstruct.Struct, str string, width int) string {
	head, _, _ := strings.Cut(str, "(")
	var b strings.Builder
	b.WriteString(head + "(")
	at := say.Columns(head) + 1
	names := st.AttrNames()
	for i, name := range names {
		v, err := st.Attr(name)
		if err != nil || v == nil {
			return str
		}
		field := name + " = " + v.String()
		if strings.Contains(field, "\n") {
			return str
		}
		if i < len(names)-1 {
			field += ","
		} else {
			field += ")"
		}
		switch {
		case i > 0 && at+1+say.Columns(field) > width:
			b.WriteString("\n    ")
			at = 4
		case i > 0:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(field)
		at += say.Columns(field)
	}
	return b.String()
}

// guard gives body a thread, stops it when ctx ends or memory runs out, and turns
// what goes wrong into an error with a place. at is where a panic will be said to have happened.
func (s *Session) guard(ctx context.Context, name string, body func(*starlark.Thread) error, at *syntax.Position) (err error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	if ctx.Err() != nil {
		return s.stopped(ctx, ctx.Err())
	}
	s.env.Ctx, s.env.Width = ctx, s.width()
	s.forget()
	go s.watchMemory(ctx, cancel)

	thread := s.thread(name)
	stop := context.AfterFunc(ctx, func() { thread.Cancel("stopped") })
	defer stop()
	defer func() {
		if r := recover(); r != nil {
			e := crash(r)
			if at != nil {
				e.Pos = *at
				e.line = s.sources.line(*at)
			}
			err = e
		}
		s.settle()
		if err != nil && ctx.Err() != nil {
			err = s.stopped(ctx, err)
		}
	}()
	return s.locate(body(thread))
}

// settle shows what has not been shown yet. A panic there is one too many: it is dropped.
func (s *Session) settle() {
	defer func() { _ = recover() }()
	s.log.Rest(s.env.Bench)
}

// thread makes a thread on which the builtins find the session's bench.
func (s *Session) thread(name string) *starlark.Thread {
	thread := &starlark.Thread{Name: name, Print: s.print, Load: s.loader.load}
	s.env.Attach(thread)
	limitDepthOf(thread, s.names.values)
	return thread
}

// stopped is the error of a command whose context ended.
func (s *Session) stopped(ctx context.Context, err error) error {
	cause := context.Cause(ctx)
	e := &Error{cause: cause}
	var inner *Error
	if errors.As(err, &inner) {
		e.Pos, e.line, e.Frames = inner.Pos, inner.line, inner.Frames
	}
	now := s.env.Bench.Now()
	switch {
	case errors.Is(cause, errMemory):
		e.Msg = fmt.Sprintf("stopped at %v: %v", now, cause)
	case errors.Is(cause, context.DeadlineExceeded):
		e.Msg = fmt.Sprintf("out of time at %v", now)
	default:
		e.Msg = fmt.Sprintf("interrupted at %v", now)
	}
	return e
}

// Interrupted reports whether err came from the end of the context.
func Interrupted(err error) bool {
	return errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded)
}

// TookTooMuch reports whether err came from the watch over memory.
func TookTooMuch(err error) bool { return errors.Is(err, errMemory) }

// failure finds what an expectation reported, if err is one that was not met.
func failure(err error) (*builtins.Failure, bool) {
	var f *builtins.Failure
	ok := errors.As(err, &f)
	return f, ok
}
