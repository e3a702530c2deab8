package scripts_test

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pulsewright/lang"
	"pulsewright/scripts"

	"go.starlark.net/syntax"
)

// measures names the file of lib and the table in it that measure what the designs of a file state, or one design of it.
var measures = map[string][2]string{
	"repeaters.star": {"linefigures", "STATIONS"},
	"lines.star":     {"linefigures", "STATIONS"},
	"two_reed_line":  {"linefigures", "WAYS"},
	"panels.star":    {"machinefigures", "PANELS"},
	"receivers.star": {"machinefigures", "RECEIVERS"},
	"systems.star":   {"machinefigures", "SYSTEMS"},
	"sources.star":   {"linefigures", "SOURCES"},
	"ruler":          {"linefigures", "RULERS"},
	"toggle":         {"loosefigures", "TOGGLES"},
	"roundabout":     {"loosefigures", "ROUNDABOUTS"},
}

// A documented thing is a design of the library, something it is made of, or a file of them.
type documented struct {
	file, name string // name is "" for the file
	design     bool
	doc        string
}

// documentation reads the docstrings of the files that hold designs.
func documentation(t *testing.T) (all []documented) {
	names, err := fs.Glob(scripts.FS, "lib/*.star")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		file := path.Base(name)
		if strings.HasSuffix(file, "_test.star") || file == "published.star" { // its figures have their sources, and tests of their own
			continue
		}
		text, err := scripts.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := syntax.LegacyFileOptions().Parse(name, text, 0)
		if err != nil {
			t.Fatal(err)
		}
		found := []documented{{file: file, doc: docOf(f.Stmts)}}
		designs := 0
		for _, s := range f.Stmts {
			if def, ok := s.(*syntax.DefStmt); ok {
				d := documented{file: file, name: def.Name.Name, doc: docOf(def.Body), design: isDesign(def)}
				found = append(found, d)
				if d.design {
					designs++
				}
			}
		}
		if designs > 0 {
			all = append(all, found...)
		}
	}
	return all
}

// docOf is the string that a body begins with.
func docOf(body []syntax.Stmt) string {
	if len(body) > 0 {
		if e, ok := body[0].(*syntax.ExprStmt); ok {
			if l, ok := e.X.(*syntax.Literal); ok && l.Token == syntax.STRING {
				return l.Value.(string)
			}
		}
	}
	return ""
}

// isDesign reports whether a function places a design: it takes a frame, and no design to place.
func isDesign(def *syntax.DefStmt) bool {
	var params []string
	for _, p := range def.Params {
		if b, ok := p.(*syntax.BinaryExpr); ok {
			p = b.X
		}
		if id, ok := p.(*syntax.Ident); ok {
			params = append(params, id.Name)
		}
	}
	return !strings.HasPrefix(def.Name.Name, "_") && len(params) > 0 && params[0] == "f" && !slices.Contains(params, "build")
}

// A block of figures, as docstrings have them.
type block struct {
	rules   string            // where they hold
	figures map[string]string // expressions by name
}

var (
	blockHead  = regexp.MustCompile(`^    Figures, for (.*):$`)
	figureLine = regexp.MustCompile(`^      ([a-z ]+): (.+) (tick|step|cell|key|lamp|link|conductor|part|token)s?$`)
	rulesText  = regexp.MustCompile(`^travel (\d+) to (\d+), reads (turn|step|turn or step), news (fifo|lifo|fifo or lifo)$`)
)

// figuresOf takes the blocks out of a docstring; rest is what remains of it.
func figuresOf(doc string) (blocks []block, rest string, err error) {
	var b strings.Builder
	in := false
	for line := range strings.Lines(doc) {
		text := strings.TrimRight(line, "\n")
		if m := blockHead.FindStringSubmatch(text); m != nil {
			blocks, in = append(blocks, block{m[1], map[string]string{}}), true
			continue
		}
		if in = in && strings.HasPrefix(text, "      "); !in {
			b.WriteString(line)
			continue
		}
		m := figureLine.FindStringSubmatch(text)
		if m == nil {
			return nil, "", fmt.Errorf("%q is no figure", text)
		}
		blocks[len(blocks)-1].figures[m[1]] = m[2]
	}
	return blocks, b.String(), nil
}

// script writes a block as a value for lib/claims.star.
func (b block) script() (string, error) {
	m := rulesText.FindStringSubmatch(b.rules)
	if m == nil {
		return "", fmt.Errorf("%q says no rules", b.rules)
	}
	quoted := func(words string) string { return `["` + strings.ReplaceAll(words, " or ", `", "`) + `"]` }
	last, err := strconv.Atoi(m[2])
	if err != nil {
		return "", err
	}
	var s strings.Builder
	some := "" // of four ways to read and tell, all at the usual travel, and two at any other: each way to read and each to tell
	if strings.Contains(m[3], "or") && strings.Contains(m[4], "or") {
		some = ` if t == 2 or ((r == "turn") == (n == "fifo")) == (t % 2 == 1)`
	}
	fmt.Fprintf(&s, "struct(rules = [dict(travel = t, reads = r, news = n) for t in range(%s, %d) for r in %s for n in %s%s], figures = {", m[1], last+1, quoted(m[3]), quoted(m[4]), some)
	for name, value := range b.figures {
		if low, high, pair := strings.Cut(value, " to "); pair {
			value = "(" + low + ", " + high + ")"
		}
		fmt.Fprintf(&s, "\n%q: lambda travel = 2, reads = None, news = None, reach = 24, run = 6, n = 0, j = 0, show = 3, width = 0, pitch = 0, panel = 0, line = 0, board = 0, spread = 0: %s,", name, value)
	}
	return s.String() + "})", nil
}

// Every figure that the docstring of a design states is measured, under all rules under which it is said to hold; and every
// design states some.
func TestFigures(t *testing.T) {
	designs := 0
	for _, d := range documentation(t) {
		if !d.design {
			continue
		}
		designs++
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			table := measures[d.name]
			if table[0] == "" {
				table = measures[d.file]
			}
			blocks, _, err := figuresOf(d.doc)
			if err != nil || len(blocks) == 0 || table[0] == "" {
				t.Fatalf("%d blocks of figures, measured by %q, %v", len(blocks), table, err)
			}
			var list []string
			for _, b := range blocks {
				s, err := b.script()
				if err != nil {
					t.Fatal(err)
				}
				list = append(list, s)
			}
			if got := measured(t, table, d.file, d.name, strings.Join(list, ",\n")); got != "" {
				t.Error(got)
			}
		})
	}
	if designs < 19 {
		t.Errorf("only %d designs found", designs)
	}
}

var (
	// What is no figure: cells, indices, what has a number for a name, a key by its number.
	noFigure = regexp.MustCompile("`[^`]*`|\\([^()]*\\)|\\[[^\\]]*\\]|-[xyz]\\b|[a-z] [-+] 1\\b|(?i:link|column|shuttle|gate) \\d+|\\bs\\d|x = -1|Each column x, 0 to last")
	// What is one: a number, or a number in words of something that is counted.
	aFigure = regexp.MustCompile(`\d+|(?i)\b(one|two|three|four|five|six|seven|eight|nine|ten|twenty)( more)? (tick|step|cell|conductor|lamp|key|part|token)s?\b|\b\w+teenth\b`)
)

// Outside the blocks of figures docstrings of designs and their files state none.
func TestNoFiguresElsewhere(t *testing.T) {
	for _, d := range documentation(t) {
		if d.doc == "" && !strings.HasPrefix(d.name, "_") {
			t.Errorf("%s %s: no docstring", d.file, d.name)
		}
		_, rest, err := figuresOf(d.doc)
		if err != nil {
			t.Errorf("%s %s: %v", d.file, d.name, err)
		}
		for line := range strings.Lines(noFigure.ReplaceAllString(rest, "…")) {
			if got := aFigure.FindString(line); got != "" {
				t.Errorf("%s %s: states %q outside its figures: %s", d.file, d.name, got, line)
			}
		}
	}
}

// A line that is no figure is not passed over, and neither are rules that are none, nor a figure that is wrong.
func TestFiguresAreRead(t *testing.T) {
	const head = "    Figures, for travel 1 to 2, reads turn, news fifo:\n"
	for _, doc := range []string{head + "      recovery about 3 ticks\n", head + "      recovery: 3\n"} {
		if _, _, err := figuresOf(doc); err == nil {
			t.Errorf("%q is read", doc)
		}
	}
	if _, err := (block{rules: "any travel"}).script(); err == nil {
		t.Error("any travel is read")
	}
	blocks, rest, err := figuresOf("A.\n\n" + head + "      pitch: 4 to reach - 1 cells\n      recovery: 3 * travel ticks\n    ")
	if err != nil || len(blocks) != 1 || blocks[0].figures["pitch"] != "4 to reach - 1" || blocks[0].figures["recovery"] != "3 * travel" || rest != "A.\n\n    " {
		t.Errorf("%v, %q, %v", blocks, rest, err)
	}
	for _, c := range []struct {
		from, table, file, design, name, right string
		wrong                                  []string
	}{
		{"linefigures", "STATIONS", "repeaters", "pull_repeater", "recovery", "3 * travel", []string{"3 * travel - 1", "3 * travel + 1", "6"}},
		{"linefigures", "STATIONS", "repeaters", "gate_repeater", "pitch", "3 to reach + 1", []string{"2 to reach + 1", "3 to reach", "3 to reach + 2"}},
		{"machinefigures", "PANELS", "panels", "reed_panel", "lost", "5", []string{"4", "6"}},
		{"linefigures", "SOURCES", "sources", "feed_source", "recovery", "max(4, 2 * travel + 1)", []string{"5", "4"}},
		{"machinefigures", "RECEIVERS", "receivers", "block_receiver", "early", "j + 1", []string{"j", "j + 2"}},
		{"loosefigures", "TOGGLES", "loose", "toggle", "after off", "travel", []string{"travel - 1", "travel + 1", "2"}},
		{"loosefigures", "TOGGLES", "loose", "toggle", "longest", "travel - 1", []string{"travel", "0"}},
		{"loosefigures", "ROUNDABOUTS", "loose", "roundabout", "recovery", "4 * travel", []string{"4 * travel - 1", "4 * travel + 1"}},
	} {
		for _, value := range append(c.wrong, c.right) {
			figures := map[string]string{c.name: value}
			if c.table == "STATIONS" || c.table == "ROUNDABOUTS" {
				figures["least early"], figures["least late"] = "2", "1"
			}
			if c.table == "ROUNDABOUTS" {
				figures["apart"] = "travel"
			}
			if c.table == "SOURCES" {
				figures["longest"] = "reach - 3"
			}
			b, err := block{"travel 1 to 2, reads turn, news fifo", figures}.script()
			if err != nil {
				t.Fatal(err)
			}
			if got := measured(t, [2]string{c.from, c.table}, c.file+".star", c.design, b); (got == "") != (value == c.right) {
				t.Errorf("%s, %s: %s: %s", c.design, c.name, value, got)
			}
		}
	}
}

// measured measures blocks of figures of a design; it returns what is wrong with them.
func measured(t *testing.T, table [2]string, file, design, blocks string) string {
	t.Helper()
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Err: &out, Seed: 1, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	script := fmt.Sprintf(`load("lib/claims.star", "measure")
load("lib/%s.star", table = %q)
load("lib/%s", build = %q)
log(False)
expect_equal(measure(table, build, [%s])[:5], [])`, table[0], table[1], file, design, blocks)
	if err := s.Exec(t.Context(), "figures.star", script); err != nil {
		s.Report(err)
		return out.String()
	}
	return ""
}
