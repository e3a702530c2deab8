package lang

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/say"
	"pulsewright/lang/lex"
)

// help answers "what?": a word of the language, a topic, or a value that a dotted name leads to.
func (s *Session) help(ctx context.Context, t text, what string) error {
	return s.guard(ctx, t.name, func(*starlark.Thread) error {
		var x starlark.Value
		if what != "" {
			x = starlark.String(what)
			if v, ok := s.walk(strings.TrimSuffix(strings.TrimSuffix(what, ")"), "(")); ok {
				x = v
			}
			if what == argEntry.Name {
				s.page(argHelp())
				return nil
			}
		}
		text, err := help.On(s.env, x)
		if err != nil {
			return &Error{Msg: err.Error(), cause: err}
		}
		s.page(text)
		return nil
	}, nil)
}

// about is what is shown of a word that stands without brackets: one line of help.
func (s *Session) about(b *starlark.Builtin) string {
	name := b.Name()
	switch e, ok := entry(help.WordOf(b)); {
	case ok:
		return fmt.Sprintf("%s: %s %s? says more.", name, e.Sentence, name)
	case b.Receiver() != nil:
		return fmt.Sprintf("%s: a function of %s, to be called: .%s(...)", name, say.Article(b.Receiver().Type()), name)
	}
	return fmt.Sprintf("%s: a function of the language itself, to be called: %s(...)", name, name)
}

// pagedHelp is the builtin help, with arg, which is ours, and shown by page.
func (s *Session) pagedHelp(help *starlark.Builtin) func(*starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
	return func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		e := builtins.Of(thread)
		show := s.page
		if e.Trial {
			show = e.Print
		}
		if len(args) == 1 && (args[0] == starlark.String(argEntry.Name) || args[0] == s.names.base[argEntry.Name]) {
			show(argHelp())
			return starlark.None, nil
		}
		var text bytes.Buffer
		out := e.Out
		e.Out = &text
		v, err := help.CallInternal(thread, args, kwargs)
		e.Out = out
		if text.Len() > 0 {
			show(text.String())
		}
		return v, err
	}
}

// page shows a text that was asked for, unless it was shown before.
func (s *Session) page(text string) {
	if s.env.Rereading {
		return
	}
	text = strings.TrimSuffix(text, "\n") + "\n" // else the next prompt writes over the last line
	if s.cfg.Page != nil && !s.cfg.JSON {
		s.cfg.Page(text)
		return
	}
	io.WriteString(s.env.Out, text)
}

// walk follows a path as dotted gives it, through attributes and indexes. It calls nothing.
func (s *Session) walk(path string) (v starlark.Value, ok bool) {
	defer func() {
		if recover() != nil {
			v, ok = nil, false
		}
	}()
	tokens := lex.Text(path)
	for i := 0; i < len(tokens); {
		switch t := tokens[i]; {
		case i == 0:
			v, ok = s.names.live[t.Text]
			i++
		case t.Text == "." && i+1 < len(tokens):
			v, ok = attribute(v, tokens[i+1].Text)
			i += 2
		case t.Text == "[" && i+2 < len(tokens):
			n := i + 1
			if tokens[n].Text == "-" {
				n++
			}
			v, ok = indexed(v, tokens[n], n > i+1)
			i = n + 2
		default:
			return nil, false
		}
		if !ok || tokens[0].Text == storeName {
			return nil, false
		}
	}
	return v, ok
}

func attribute(of starlark.Value, name string) (starlark.Value, bool) {
	x, ok := of.(starlark.HasAttrs)
	if !ok {
		return nil, false
	}
	v, err := x.Attr(name)
	return v, err == nil && v != nil
}

// indexed is one of a row, list or tuple, counted from its end or not, or what a dict has under a string.
func indexed(of starlark.Value, index lex.Token, fromEnd bool) (starlark.Value, bool) {
	if d, ok := of.(*starlark.Dict); ok && index.Kind == lex.String {
		v, found, err := d.Get(starlark.String(index.Inner()))
		return v, found && err == nil
	}
	row, ok := of.(starlark.Indexable)
	i, err := strconv.Atoi(index.Text)
	if !ok || err != nil {
		return nil, false
	}
	if fromEnd {
		i = row.Len() - i
	}
	if i < 0 || i >= row.Len() {
		return nil, false
	}
	return row.Index(i), true
}
