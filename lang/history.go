package lang

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/syntax"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
	"pulsewright/lang/source"
)

// shellName is the file name of what is typed.
const shellName = "<shell>"

// moment is everything that a command can change, before it does.
type moment struct {
	bench   *engine.Bench
	snap    *engine.Snapshot
	names   *record
	notes   builtins.Notes
	script  []part
	did     string // the command that came after
	size    int    // bytes
	now     engine.Instant
	version uint64 // of the bench
}

// history is what can be undone and redone.
type history struct {
	past, future []moment // the last is the nearest
}

// Limits of the history. The oldest goes first.
const (
	maxMoments = 1000
	maxHistory = 256 << 20 // bytes
)

// chunk is a command under way.
type chunk struct {
	src     string
	sole    string // the builtin it is a bare call of, if it is nothing else
	rewound bool   // it was undo() or redo()
}

// Command runs one chunk of the conversation: the values of bare expressions are shown, and a line that ends in a
// question mark asks for help. If it fails, bench and names are as they were before. An interrupted command leaves
// the bench where it stopped, and can be undone.
func (s *Session) Command(ctx context.Context, src string) error {
	first := s.lines + 1
	s.lines += strings.Count(strings.TrimSuffix(src, "\n"), "\n") + 1
	t := text{name: shellName, src: src, line: first}
	if what, ok := s.asked(src); ok {
		return s.help(ctx, t, what)
	}
	before := s.moment(src)
	c := &chunk{src: src, sole: soleCall(t)}
	s.chunk = c
	s.loader.round++
	s.journal.draft = ""
	s.journal.write(journalLine{Runs: src})
	defer s.journalled()
	_, err := s.run(ctx, t, true)
	s.chunk = nil
	switch {
	case c.rewound: // undo and redo have seen to it
	case err == nil:
		if s.changed(before) {
			s.remember(before)
		}
		if c.sole != "save" && c.sole != "bundle" && strings.TrimSpace(src) != "" {
			s.keep(part{src: src})
		}
	case Interrupted(err):
		s.remember(before)
		s.keep(part{src: src, stopped: s.Now().String()})
		s.log.Skip(s.env.Bench)
		addNote(err, "undo() takes it back")
	default:
		if s.touched(before) {
			addNote(err, fmt.Sprintf("bench and names are as they were, at %v", before.now))
			s.restore(before)
		} else {
			s.names.restore(before.names)
			s.env.Notes, s.script = before.notes, before.script
		}
	}
	return err
}

func addNote(err error, note string) {
	var e *Error
	if errors.As(err, &e) {
		e.note = note
	}
}

// touched reports whether the bench is another than at a moment.
func (s *Session) touched(m moment) bool {
	return s.env.Bench != m.bench || s.env.Bench.Version() != m.version
}

// changed reports whether anything is other than at a moment that undo could bring back.
func (s *Session) changed(m moment) bool {
	return !s.env.Notes.Same(m.notes) || !s.names.record().equal(m.names) || s.touched(m)
}

// moment takes down everything as it is.
func (s *Session) moment(did string) moment {
	b := s.env.Bench
	m := moment{bench: b, snap: b.Snapshot(), names: s.names.record(), notes: s.env.Notes,
		script: slices.Clip(s.script), did: did, now: b.Now(), version: b.Version()}
	m.size = m.snap.Size() + m.names.size()
	return m
}

func (s *Session) restore(m moment) {
	s.env.Bench = m.bench
	s.env.Bench.Restore(m.snap)
	s.names.restore(m.names)
	s.env.Notes, s.script = m.notes, m.script
	s.log.Skip(s.env.Bench)
}

// remember makes a command undoable.
func (s *Session) remember(before moment) {
	s.history.past = trim(append(s.history.past, before))
	s.history.future = nil
}

func trim(ms []moment) []moment {
	size, from := 0, len(ms)
	for from > 0 && len(ms)-from < maxMoments {
		size += ms[from-1].size
		if size > maxHistory && from < len(ms) {
			break
		}
		from--
	}
	return slices.Delete(ms, 0, from)
}

// rewind takes the last moment off from and puts the present one on to.
func (s *Session) rewind(word string, from, to *[]moment) (string, error) {
	c := s.chunk
	switch {
	case c == nil:
		return "", errors.New("a script has no commands to take back; this is for the conversation")
	case c.sole != word:
		return "", fmt.Errorf("stands alone: %s() is a command of its own", word)
	case len(*from) == 0 && word == "undo":
		return "", errors.New("nothing to undo")
	case len(*from) == 0:
		return "", errors.New("nothing to redo")
	}
	m := (*from)[len(*from)-1]
	*from = (*from)[:len(*from)-1]
	here := s.moment(m.did)
	s.restore(m)
	*to = trim(append(*to, here))
	c.rewound = true
	done := "undone"
	if word == "redo" {
		done = "done again"
	}
	text := fmt.Sprintf("%s: %s (now %v)", done, brief(m.did), s.Now())
	if m.names.part {
		text += fmt.Sprintf("; but what lists and dicts hold past %d elements stays as it is", maxKept)
	}
	return text, nil
}

// brief is a command on one line.
func brief(src string) string {
	src = strings.TrimSpace(src)
	line, more, _ := strings.Cut(src, "\n")
	if r := []rune(line); len(r) > 60 {
		line, more = string(r[:57]), "more"
	}
	if more != "" {
		line += " ..."
	}
	return say.Printable(line)
}

// host is what the builtins undo, redo, save and bundle find.
type host struct{ s *Session }

func (h host) Undo() (string, error) {
	return h.s.rewind("undo", &h.s.history.past, &h.s.history.future)
}

func (h host) Redo() (string, error) {
	return h.s.rewind("redo", &h.s.history.future, &h.s.history.past)
}

func (h host) Save(path string, over builtins.Over, sketch bool) (string, error) {
	return h.s.save(path, over, sketch)
}

func (h host) Bundle(path string, over builtins.Over) (string, error) { return h.s.bundle(path, over) }

// soleCall is the name of the function if a chunk is one bare call of a name and nothing else.
func soleCall(t text) string {
	f, err := source.Dialect.Parse(t.name, t.portion(), 0)
	if err != nil || len(f.Stmts) != 1 {
		return ""
	}
	if e, ok := f.Stmts[0].(*syntax.ExprStmt); ok {
		if call, ok := e.X.(*syntax.CallExpr); ok {
			if id, ok := call.Fn.(*syntax.Ident); ok {
				return id.Name
			}
		}
	}
	return ""
}

// question reports whether a chunk is one line that ends in a question mark, and what precedes it.
func question(src string) (string, bool) {
	line := strings.TrimSpace(src)
	what, ok := strings.CutSuffix(line, "?")
	if !ok || strings.Contains(what, "\n") || strings.ContainsAny(what, "#\"'") {
		return "", false
	}
	return strings.TrimSpace(what), true
}
