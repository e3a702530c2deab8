package lang

import (
	"context"
	"fmt"
	"io"
	"maps"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"pulsewright/lang/source"
)

// Names are what the conversation, or the script, has bound so far.
func (s *Session) Names() starlark.StringDict {
	d := starlark.StringDict{}
	for name := range s.names.own {
		if v, ok := s.names.live[name]; ok {
			d[name] = v
		}
	}
	return maps.Clone(d)
}

// Ask calls a function, of this session or of another, on the bench of this one. Bench and names are afterwards as they were before.
func (s *Session) Ask(ctx context.Context, fn starlark.Callable, args ...starlark.Value) (v starlark.Value, err error) {
	defer s.restore(s.moment(""))
	err = s.guard(ctx, fn.Name(), func(thread *starlark.Thread) (err error) {
		v, err = starlark.Call(thread, fn, starlark.Tuple(args), nil)
		return err
	}, nil)
	return v, err
}

// Present runs a text command by command, each shown behind its prompt as if it were typed now.
func (s *Session) Present(ctx context.Context, src string) error {
	chunks, err := s.chunks(src)
	if err != nil {
		return err
	}
	for _, chunk := range chunks {
		if err := s.PresentOne(ctx, chunk); err != nil {
			return err
		}
	}
	return nil
}

// PresentOne runs a text as one command, shown behind its prompt as if it were typed now.
func (s *Session) PresentOne(ctx context.Context, chunk string) error {
	s.echo(chunk)
	return s.Command(ctx, chunk)
}

// Repeat shows a command behind its prompt and runs it in silence: what it printed is not printed again, and no file is written again.
func (s *Session) Repeat(ctx context.Context, chunk string) error {
	s.echo(chunk)
	log, out := s.log, s.env.Out
	s.log, s.env.Out, s.env.Rereading = silence{}, io.Discard, true
	defer func() {
		s.log, s.env.Out, s.env.Rereading = log, out, false
		s.log.Skip(s.env.Bench)
	}()
	return s.Command(ctx, chunk)
}

// echo writes a text as if it were typed now.
func (s *Session) echo(chunk string) {
	prompt, block := s.prompts()
	for line := range strings.SplitSeq(chunk, "\n") {
		fmt.Fprintln(s.env.Out, strings.TrimRight(prompt+line, " "))
		prompt = block
	}
}

// chunks cuts a text into the commands in which it would be typed: its top-level statements, with the comments above them.
func (s *Session) chunks(src string) (chunks []string, err error) {
	src = strings.Trim(src, "\n")
	f, err := source.Dialect.Parse(shellName, src, 0)
	if err != nil {
		return nil, s.locate(err)
	}
	lines, from := strings.Split(src, "\n"), 0
	for i, stmt := range f.Stmts {
		_, end := stmt.Span()
		if i+1 < len(f.Stmts) && startLine(f.Stmts[i+1]) <= int(end.Line) {
			continue // two on one line
		}
		to := int(end.Line)
		chunks = append(chunks, strings.Trim(strings.Join(lines[from:to], "\n"), "\n"))
		from = to
	}
	return chunks, nil
}

func startLine(stmt syntax.Stmt) int {
	start, _ := stmt.Span()
	return int(start.Line)
}
