package lang

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"go.starlark.net/syntax"

	"pulsewright/builtins"
	"pulsewright/builtins/keep"
	"pulsewright/builtins/say"
	"pulsewright/engine"
	"pulsewright/lang/source"
)

// part is a piece of the session as save writes it: a chunk that worked, or as much of a script as did.
type part struct {
	src     string
	failed  bool   // a script that broke off: what its last statement had done by then cannot be repeated
	stopped string // a command that was interrupted, and when
}

func (s *Session) keep(p part) {
	if strings.TrimSpace(p.src) == "" && !p.failed {
		return
	}
	s.script = append(s.script, p)
}

// save writes the chunks that worked, in order, as a script that repeats them.
func (s *Session) save(path string, over builtins.Over, sketch bool) (string, error) {
	switch {
	case s.chunk == nil:
		return "", errors.New("a script is a file already; this is for the conversation")
	case s.chunk.sole != "save":
		return "", errors.New("stands alone: save(path) is a command of its own")
	}
	if filepath.Ext(path) != ".star" {
		return "", fmt.Errorf("%s: a script's name ends in .star", say.OneLine(path))
	}
	if sketch {
		return keep.SaveSketch(s.env, path, over, func(name, script string) (*engine.Bench, error) {
			return try(s.env.Context(), name, script, Config{})
		})
	}
	body, loose := s.saved()
	body, files := s.writesOver(body)
	if filepath.Dir(path) != "." && strings.Contains(body, `load("./`) {
		return "", fmt.Errorf("%s: the session loads a file beside it, so it must be saved in the working folder itself", path)
	}
	if _, err := s.env.WriteFile(path, over, func(w io.Writer) error {
		_, err := io.WriteString(w, body)
		return err
	}); err != nil {
		return "", err
	}
	text := fmt.Sprintf("wrote %s: a script of %s", filepath.ToSlash(filepath.Clean(path)), counted(len(s.script), "command"))
	if len(files) > 0 {
		text += "; it writes over " + andMore(files)
	}
	if loose > 0 {
		text += fmt.Sprintf("; %s interrupted, which no script can repeat (see the comments there)", was(loose))
	}
	return text, nil
}

// saved is the session as a script, and how many of its pieces cannot be repeated.
func (s *Session) saved() (body string, loose int) {
	var b strings.Builder
	b.WriteString(savedHeader)
	if s.cfg.Seed != 0 {
		fmt.Fprintf(&b, "# Run it with --seed %d to repeat it.\n", s.cfg.Seed)
	}
	if given := s.args.given(); given != "" {
		fmt.Fprintf(&b, "# It was given: %s\n", given)
	}
	// A bare value is kept in _ if a later piece reads it.
	reads := 0
	for i, p := range s.script {
		if f, err := source.Dialect.Parse("", p.src, 0); err == nil && source.Mentions(f, "_") {
			reads = i
		}
	}
	for i, p := range s.script {
		src := strings.TrimRight(withoutHeader(p.src), " \t\r\n")
		if i < reads {
			src = keepValues(src)
		}
		if p.stopped != "" {
			loose++
			fmt.Fprintf(&b, "# Interrupted at %s, which this script does not repeat:\n", p.stopped)
			src = "# " + strings.ReplaceAll(src, "\n", "\n# ")
		}
		if src != "" {
			b.WriteString(src + "\n")
		}
		if p.failed {
			loose++
			b.WriteString("# Here the script broke off; what its last statement had done is not repeated.\n")
		}
	}
	return b.String(), loose
}

// savedHeader begins a saved script.
const savedHeader = "# A pulsewright session.\n"

// withoutHeader is a script without the lines that save put on top of it: what is saved anew has one header.
func withoutHeader(src string) string {
	rest, ok := strings.CutPrefix(src, savedHeader) // rest is src if it has none
	for ok && (strings.HasPrefix(rest, "# Run it with --seed ") || strings.HasPrefix(rest, "# It was given: ")) {
		_, rest, _ = strings.Cut(rest, "\n")
	}
	return rest
}

// keepValues writes _ = before the bare expressions of a chunk.
func keepValues(src string) string {
	t := text{src: src, line: 1}
	f, err := source.Dialect.Parse("", t.portion(), 0)
	if err != nil {
		return src
	}
	places := source.NewPlaces(t.src, t.line)
	for i := len(f.Stmts) - 1; i >= 0; i-- {
		if e, ok := f.Stmts[i].(*syntax.ExprStmt); ok {
			start, _ := e.Span()
			off := places.Offset(start)
			// None leaves _ alone; a call that gives None is not told apart from one that gives a value.
			src = src[:off] + "_ = " + src[off:]
		}
	}
	return src
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func was(n int) string {
	if n == 1 {
		return "1 was"
	}
	return fmt.Sprintf("%d were", n)
}

// why is the reason of a failure with a file, without the path and the system's names.
func why(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file or folder"
	case errors.Is(err, fs.ErrPermission):
		return "no permission"
	case builtins.LeadsOut(err):
		return "leads out of the folder"
	}
	return err.Error()
}
