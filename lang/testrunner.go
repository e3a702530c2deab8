package lang

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/lang/source"
)

// TestOptions choose tests and how much is said of them.
type TestOptions struct {
	Run     *regexp.Regexp // names of the tests to run; nil: all
	Verbose bool           // also say which have passed
	JSON    bool           // say it in JSON Lines (see testjson.go); what the tests themselves print goes to Err

	// Apart, if it is not nil, runs the tests of a file elsewhere, and says there how each went. An error ends the run of all files.
	Apart func(ctx context.Context, file string) (Counted, error)
}

// Counted is how the tests of a file went. Trouble is why nobody knows, a failure of the file; "" if it is known.
type Counted struct {
	Passed, Failed int
	Trouble        string
}

// RunTests runs the tests in files, and in folders in the files *_test.star below them; no path means the present folder.
// Each test_ function runs on a bench of its own, in the order of its file, with the file run anew. Failures go to
// cfg.Out, the last line says how many passed and failed. The error is a path that is not there, or an interruption.
func RunTests(ctx context.Context, cfg Config, paths []string, o TestOptions) (passed, failed int, err error) {
	files, err := testFiles(paths)
	if err != nil {
		return 0, 0, err
	}
	cfg.JSON = false
	out := cfg.Out
	report := func(file, name string, err error) {
		switch {
		case o.JSON:
			testJSON(out, resultLine(file, name, err))
		case err != nil:
			if name == "" {
				name = "the file"
			}
			fmt.Fprint(out, failureText(file, name, err, cfg))
		case o.Verbose:
			fmt.Fprintf(out, "%s: %s: passed\n", say.Printable(file), name)
		}
	}
	if o.JSON {
		cfg.Out = cfg.Err
		testJSON(out, testHead{"pulsewright test", 1, cfg.Seed})
	}
	for _, file := range files {
		if o.Apart != nil {
			n, err := o.Apart(ctx, file)
			if err != nil {
				return passed, failed, err
			}
			passed, failed = passed+n.Passed, failed+n.Failed
			if n.Trouble != "" {
				failed++
				report(file, "", &Error{Msg: n.Trouble})
			}
			continue
		}
		names, err := testNames(file)
		if err != nil { // said once, as the failure of the file
			failed++
			report(file, "", err)
			continue
		}
		for _, name := range names {
			if o.Run != nil && !o.Run.MatchString(name) {
				continue
			}
			err := runTest(ctx, cfg, file, name)
			if Interrupted(err) {
				return passed, failed, err
			}
			if err == nil {
				passed++
			} else {
				failed++
			}
			report(file, name, err)
		}
	}
	switch {
	case o.JSON:
		testJSON(out, testCount{passed, failed})
	case passed+failed > 0:
		fmt.Fprintf(out, "%d passed, %d failed\n", passed, failed)
	}
	return passed, failed, nil
}

func runTest(ctx context.Context, cfg Config, file, name string) error {
	s, err := New(cfg)
	if err != nil {
		return err
	}
	defer s.Close()
	s.env.Log = &builtins.LogOptions{Off: true} // a test that wants the log says log(…)
	s.origin.test = true
	if err := s.ExecFile(ctx, file, nil); err != nil {
		return err
	}
	return s.Call(ctx, name)
}

// failureText is what is said of a failure: file:line: name: message, what was got and wanted, and the seed.
func failureText(file, name string, err error, cfg Config) string {
	var b strings.Builder
	pos, msg := file, err.Error()
	var e *Error
	if errors.As(err, &e) {
		msg = e.Msg
		if e.Pos.Line > 0 {
			pos = fmt.Sprintf("%s:%d", e.Pos.Filename(), e.Pos.Line)
		}
	}
	p := cfg.OutPalette
	b.WriteString(p.Paint(p.Error, say.Printable(fmt.Sprintf("%s: %s: %s", pos, name, msg))) + "\n")
	if f, ok := failure(err); ok && (f.Got != "" || f.Want != "") {
		fmt.Fprintf(&b, "    got   %s\n    want  %s\n", indentMore(f.Got), indentMore(f.Want))
	} else if e != nil && e.line != "" {
		fmt.Fprintf(&b, "    %s\n", strings.TrimSpace(say.Printable(e.line)))
	}
	if e != nil && e.Hint != "" {
		fmt.Fprintf(&b, "    %s\n", say.Printable(e.Hint))
	}
	if e != nil && len(e.Frames) > 1 {
		b.WriteString("    by way of\n")
		frames(&b, e.Frames)
	}
	fmt.Fprintf(&b, "    seed  %d\n", cfg.Seed)
	return b.String()
}

// testFiles finds the files to test, sorted inside each folder.
func testFiles(paths []string) (files []string, err error) {
	if len(paths) == 0 {
		paths = []string{"."}
	}
	for _, p := range paths {
		info, err := os.Stat(p)
		if err != nil {
			if _, there := os.Lstat(p); there != nil {
				return nil, fmt.Errorf("%s: %s", p, why(err))
			}
		}
		if err != nil || !info.IsDir() { // a link to nothing is there, and fails as a file
			files = append(files, p)
			continue
		}
		err = filepath.WalkDir(p, func(at string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return fmt.Errorf("%s: %s", at, why(err))
			case d.IsDir() && at != p && strings.HasPrefix(d.Name(), "."):
				return filepath.SkipDir
			case !d.IsDir() && strings.HasSuffix(d.Name(), "_test.star"):
				files = append(files, at)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	var once []string
	for _, f := range files {
		if f = filepath.Clean(f); !slices.Contains(once, f) {
			once = append(once, f)
		}
	}
	return once, nil
}

func testNames(file string) ([]string, error) {
	if err := CheckName(file); err != nil {
		return nil, err
	}
	if info, err := os.Stat(file); err == nil && !info.Mode().IsRegular() {
		return nil, &Error{Msg: fmt.Sprintf("%s: this is no ordinary file; want a script", file)}
	}
	src, err := os.ReadFile(file)
	if err != nil {
		return nil, &Error{Msg: fmt.Sprintf("%s: %s", file, why(err)), cause: err}
	}
	return TestNames(file, string(src))
}

// TestNames lists the functions test_… at the top level of a file, in its order.
func TestNames(name, src string) ([]string, error) {
	f, err := source.Dialect.Parse(name, src, 0)
	if err != nil {
		s := &Session{sources: newSources(), names: newNames(starlark.StringDict{})}
		s.sources.add(text{name: name, src: src, line: 1})
		return nil, s.locate(err)
	}
	var names []string
	for _, stmt := range f.Stmts {
		if d, ok := stmt.(*syntax.DefStmt); ok && strings.HasPrefix(d.Name.Name, "test_") {
			names = append(names, d.Name.Name)
		}
	}
	return names, nil
}
