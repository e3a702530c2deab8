package lang

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"pulsewright/builtins/say"
)

// Error is something that went wrong in a script, and where.
type Error struct {
	Pos    syntax.Position // Line 0: unknown
	Msg    string          // what and why
	Hint   string          // what would be allowed, or "did you mean"
	Frames []Frame         // how the script got there, innermost last; none if it is at the top level
	More   []*Error        // further mistakes found at the same time
	line   string          // the source line
	note   string          // what became of the bench
	cause  error
}

// Frame is a call that was under way.
type Frame struct {
	Pos  syntax.Position
	In   string // the function; "" is the top level
	line string
}

func (e *Error) Error() string {
	if p := where(e.Pos); p != "" {
		return p + ": " + e.Msg
	}
	return e.Msg
}

func (e *Error) Unwrap() error { return e.cause }

// Where takes an error apart into its place, "file:line:col" or "", and the rest.
func Where(err error) (pos, msg string) {
	var e *Error
	if errors.As(err, &e) {
		return where(e.Pos), e.Msg
	}
	return "", err.Error()
}

func where(p syntax.Position) string {
	switch {
	case p.Line == 0:
		return ""
	case p.Col == 0:
		return fmt.Sprintf("%s:%d", say.Printable(p.Filename()), p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", say.Printable(p.Filename()), p.Line, p.Col)
}

// crash makes an error of a panic.
func crash(r any) *Error {
	return &Error{Msg: say.Crash(r), Hint: "the session goes on; please report this if the script looks right"}
}

// locate gives an error its place, its source line and a hint.
func (s *Session) locate(err error) error {
	if err == nil {
		return nil
	}
	switch err := err.(type) {
	case *Error:
		return err
	case syntax.Error:
		return s.mistake(err.Pos, err.Msg, err)
	case resolve.ErrorList:
		err = slices.Clone(err)
		slices.SortStableFunc(err, func(a, b resolve.Error) int {
			return cmp.Or(cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Col, b.Pos.Col))
		})
		first := s.mistake(err[0].Pos, err[0].Msg, err)
		for _, e := range err[1:] {
			first.More = append(first.More, s.mistake(e.Pos, e.Msg, e))
		}
		return first
	}
	var ev *starlark.EvalError
	if !errors.As(err, &ev) {
		return &Error{Msg: err.Error(), cause: err}
	}
	stack := calls(err)
	var inner *Error // in a file that was being loaded
	if errors.As(err, &inner) {
		e := *inner
		e.Frames = s.frames(stack)
		if len(inner.Frames) > 0 {
			e.Frames = append(e.Frames, inner.Frames...)
		} else if inner.Pos.Line > 0 {
			e.Frames = append(e.Frames, Frame{Pos: inner.Pos, line: inner.line})
		}
		e.cause = err
		return &e
	}
	if n := len(stack); n > 1 && badCall.MatchString(ev.Msg) {
		stack = stack[:n-1] // the mistake is the caller's
	}
	frames := s.frames(stack)
	e := &Error{Msg: ev.Msg, cause: err}
	if f, ok := failure(err); ok && ev.Msg == f.Error() && f.Got+f.Want != "" {
		e.Msg = f.Builtin + ": not as expected" // what was got and wanted follows
		if f.Message != "" {
			e.Msg = f.Builtin + ": " + f.Message
		}
	}
	if len(frames) > 0 {
		last := frames[len(frames)-1]
		e.Pos, e.line = last.Pos, last.line
		if len(frames) > 1 {
			e.Frames = frames
		}
	}
	s.explain(e)
	return e
}

// badCall is a call of a def with arguments it does not take.
var badCall = regexp.MustCompile(`^function \S+ (missing|accepts|got (multiple values|an unexpected keyword))`)

func (s *Session) mistake(pos syntax.Position, msg string, cause error) *Error {
	e := &Error{Pos: pos, Msg: msg, line: s.sources.line(pos), cause: cause}
	s.explain(e)
	return e
}

// calls is the stack of a failure, innermost last. A builtin that calls back into the script,
// perhaps on another thread, leaves an error inside an error: the inner stack goes on where the outer ends.
func calls(err error) (stack starlark.CallStack) {
	for err != nil {
		if _, ok := err.(*Error); ok {
			return stack // what is below has been located
		}
		if ev, ok := err.(*starlark.EvalError); ok {
			if len(stack) > 0 && len(ev.CallStack) >= len(stack) && ev.CallStack[0] == stack[0] {
				stack = ev.CallStack
			} else {
				stack = append(stack[:len(stack):len(stack)], ev.CallStack...)
			}
		}
		err = errors.Unwrap(err)
	}
	return stack
}

// frames are the calls of a stack that stand in the user's own files. Frames of the embedded
// library count only if there is nothing else.
func (s *Session) frames(stack starlark.CallStack) []Frame {
	pick := func(keep func(file string) bool) (list []Frame) {
		for _, c := range stack {
			if c.Pos.Line == 0 || !keep(c.Pos.Filename()) {
				continue
			}
			in := c.Name
			if in == "<toplevel>" || in == "<expr>" {
				in = ""
			}
			list = append(list, Frame{Pos: c.Pos, In: in, line: s.sources.line(c.Pos)})
		}
		return list
	}
	written := func(file string) bool { return file != "<builtin>" }
	if own := pick(func(file string) bool { return written(file) && !s.sources.embedded[file] }); len(own) > 0 {
		return own
	}
	return pick(written)
}

// sources keeps the text of everything that was run, for the lines in errors.
type sources struct {
	lines    map[string][]string // by file, from line 1
	embedded map[string]bool
	began    map[string]int  // the first line of what was added last
	library  map[string]bool // files that load finds in every session
}

func newSources() *sources {
	return &sources{lines: map[string][]string{}, began: map[string]int{}, embedded: map[string]bool{}, library: map[string]bool{}}
}

// add remembers a text. The conversation grows; a file that is read again is replaced.
func (s *sources) add(t text) {
	have := s.lines[t.name]
	if t.line-1 < len(have) {
		have = have[:t.line-1]
	}
	for len(have) < t.line-1 {
		have = append(have, "")
	}
	s.lines[t.name] = append(have, strings.Split(t.src, "\n")...)
	s.began[t.name] = t.line
}

// latest gives the lines that were added last under a name, and the number of the first.
func (s *sources) latest(name string) (lines []string, first int) {
	first = max(s.began[name], 1)
	lines = s.lines[name]
	return lines[min(first-1, len(lines)):], first
}

func (s *sources) line(p syntax.Position) string {
	if lines := s.lines[p.Filename()]; p.Line >= 1 && int(p.Line) <= len(lines) {
		return strings.TrimSuffix(lines[p.Line-1], "\r")
	}
	return ""
}

// text gives what has been read under a file's name.
func (s *sources) text(file string) (string, bool) {
	lines, ok := s.lines[file]
	return strings.Join(lines, "\n"), ok
}
