package lang

import (
	"encoding/json"
	"errors"
	"go/parser"
	gotoken "go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// mayImport is who may import whom in this module: cmd → lang → builtins → engine, downwards only, and scripts, a leaf. Below
// builtins and engine are rooms of their own, each with the few it may use; stage is for tests only. Tests may import what they like.
var mayImport = map[string][]string{
	"cmd/pulsewright":  {"lang", "lang/confine", "lang/lesson", "lang/steplog", "builtins", "builtins/say", "builtins/survey", "builtins/invent", "builtins/whole", "scripts"},
	"lang":             {"lang/bundle", "lang/lex", "lang/source", "lang/steplog", "builtins", "builtins/help", "builtins/hold", "builtins/keep", "builtins/say", "builtins/words", "engine", "scripts"},
	"lang/lesson":      {"lang", "lang/steplog", "builtins", "builtins/picture", "builtins/say", "builtins/whole", "scripts"},
	"lang/steplog":     {"builtins", "builtins/narrate", "builtins/say", "builtins/wave", "engine"},
	"lang/bundle":      {"builtins/say", "lang/source"},
	"lang/source":      {},
	"lang/confine":     {},
	"lang/lex":         {},
	"builtins/words":   {"builtins", "builtins/lag", "builtins/inspect", "builtins/invent", "builtins/observe", "builtins/tell", "builtins/calibrate", "builtins/world", "builtins/differ", "builtins/expand", "builtins/help", "builtins/join", "builtins/keep", "builtins/why", "builtins/measure", "builtins/picture", "builtins/play", "builtins/sketch", "builtins/survey", "builtins/tables", "builtins/trial", "builtins/wave"},
	"builtins/expand":  {"builtins", "builtins/hold", "builtins/inspect", "builtins/observe", "builtins/say", "builtins/sketch", "builtins/trial", "engine"},
	"builtins/invent":  {"builtins", "builtins/hold", "builtins/measure", "builtins/observe", "builtins/picture", "builtins/say", "builtins/survey", "builtins/trial", "engine"},
	"builtins/measure": {"builtins", "builtins/help", "builtins/hold", "builtins/lag", "builtins/observe", "builtins/expand", "builtins/picture", "builtins/say", "builtins/survey", "builtins/trial", "engine"},
	"builtins/survey":  {"builtins", "builtins/hold", "builtins/observe", "builtins/say", "builtins/trial", "engine"},
	"builtins/differ":  {"builtins", "builtins/picture", "builtins/say", "builtins/trial", "builtins/wave", "engine"},
	"builtins/trial":   {"builtins", "builtins/hold", "builtins/lag", "builtins/observe", "builtins/say", "builtins/sketch", "engine"},
	"builtins/lag":     {"builtins", "builtins/hold", "builtins/say", "engine"},
	"builtins/wave":    {"builtins", "builtins/picture", "builtins/play", "builtins/say", "engine"},
	"builtins/play":    {"builtins", "builtins/narrate", "builtins/picture", "builtins/say", "engine"},
	"builtins/picture": {"builtins", "builtins/observe", "builtins/say", "builtins/sketch", "engine"},
	"builtins/why":     {"builtins", "builtins/say", "engine"},
	"builtins/narrate": {"builtins", "builtins/say", "engine"},
	"builtins/help":    {"builtins", "builtins/inspect", "builtins/say", "engine"},
	"builtins/tables":  {"builtins", "builtins/hold", "builtins/say"},
	"builtins/join":    {"builtins", "builtins/say", "engine"},
	"builtins/keep":    {"builtins", "builtins/hold", "builtins/picture", "builtins/say", "builtins/trial", "engine"},
	"builtins/stage":   {"builtins", "engine", "scripts"},
	"builtins":         {"builtins/hold", "builtins/say", "builtins/whole", "engine"},
	"builtins/observe": {"builtins", "builtins/say", "engine"},
	"builtins/inspect": {"builtins", "builtins/say", "engine"},
	"builtins/sketch":  {"builtins", "builtins/say", "engine"},
	"builtins/hold":    {},
	"builtins/say":     {},
	"builtins/whole":   {},
	"engine":           {"engine/kinds"},
	"engine/kinds":     {},
	"scripts":          {},

	"builtins/calibrate": {"builtins", "builtins/picture", "builtins/say", "builtins/trial", "builtins/world", "engine"},
	"builtins/tell":      {"builtins", "builtins/say", "builtins/trial", "engine"},
	"builtins/world":     {"builtins", "builtins/say", "builtins/trial", "engine"},
}

// mayUse are the modules from elsewhere that a package may import, beside the standard library.
var mayUse = map[string][]string{
	"cmd/pulsewright":  {"github.com/chzyer/readline", "github.com/fatih/color", "github.com/mattn/go-runewidth", "github.com/spf13", "golang.org/x/term"},
	"lang":             {"go.starlark.net"},
	"lang/confine":     {"golang.org/x/sys"},
	"lang/lesson":      {"go.starlark.net"},
	"lang/bundle":      {"go.starlark.net"},
	"lang/source":      {"go.starlark.net"},
	"builtins":         {"go.starlark.net"},
	"builtins/whole":   {"golang.org/x/sys"},
	"builtins/hold":    {"go.starlark.net"},
	"builtins/say":     {"github.com/mattn/go-runewidth"},
	"builtins/picture": {"go.starlark.net"},
	"builtins/observe": {"go.starlark.net"},
	"builtins/sketch":  {"go.starlark.net"},
	"builtins/inspect": {"go.starlark.net"},
	"builtins/why":     {"go.starlark.net"},
	"builtins/help":    {"go.starlark.net"},
	"builtins/tables":  {"go.starlark.net"},
	"builtins/join":    {"go.starlark.net"},
	"builtins/keep":    {"go.starlark.net"},
	"builtins/wave":    {"go.starlark.net"},
	"builtins/play":    {"go.starlark.net"},
	"builtins/differ":  {"go.starlark.net"},
	"builtins/lag":     {"go.starlark.net"},
	"builtins/trial":   {"go.starlark.net", "golang.org/x/sync"},
	"builtins/survey":  {"go.starlark.net"},
	"builtins/world":   {"go.starlark.net"},
	"builtins/expand":  {"go.starlark.net"},
	"builtins/invent":  {"go.starlark.net"},
	"builtins/measure": {"go.starlark.net"},
	"builtins/stage":   {"go.starlark.net", "github.com/google/go-cmp"},

	"builtins/calibrate": {"go.starlark.net"},
	"builtins/tell":      {"go.starlark.net"},
}

// TestImports asks go list who imports whom.
func TestImports(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=Dir,ImportPath,Imports", "pulsewright/...").Output()
	if err != nil {
		var failed *exec.ExitError
		if errors.As(err, &failed) {
			t.Fatalf("go list: %v\n%s", err, failed.Stderr)
		}
		t.Fatal(err)
	}
	seen := 0
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			Dir, ImportPath string
			Imports         []string
		}
		if err := dec.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimPrefix(p.ImportPath, "pulsewright/")
		if _, ok := mayImport[name]; !ok {
			t.Errorf("%s is no package of ours: put it into the table", name)
			continue
		}
		seen++
		if _, err := os.ReadDir(p.Dir); err != nil { // so that go test runs this again when a file there changes
			t.Error(err)
		}
		for _, i := range p.Imports {
			if why := forbidden(name, i); why != "" {
				t.Errorf("%s imports %s: %s", name, i, why)
			}
		}
		for _, may := range mayImport[name] {
			if !slices.Contains(p.Imports, "pulsewright/"+may) {
				t.Errorf("%s may import %s and does not: strike it out of the table", name, may)
			}
		}
		if want := mayUseSaid(name); !strings.HasSuffix(packageComment(t, p.Dir), want) {
			t.Errorf("the package comment of %s ends otherwise than the table says: want %q", name, want)
		}
	}
	if seen != len(mayImport) {
		t.Errorf("go list knows %d of our packages, want %d", seen, len(mayImport))
	}
}

// mayUseSaid is the sentence in which a package comment says what the package may use.
func mayUseSaid(name string) string {
	switch name {
	case "cmd/pulsewright", "engine": // the command uses what it likes, and the engine has kinds below it; their comments say other things
		return ""
	}
	return "It may use " + mayUseNames(name) + "."
}

// mayUseNames are the packages that a package may use, in words.
func mayUseNames(name string) string {
	if name == "builtins/words" {
		return "every room that has words"
	}
	var names []string
	last := ""
	for _, may := range mayImport[name] {
		if may == "engine" {
			last = "the engine"
		} else if may != "builtins" {
			names = append(names, may[strings.LastIndexByte(may, '/')+1:])
		}
	}
	slices.Sort(names)
	if slices.Contains(mayImport[name], "builtins") {
		names = slices.Insert(names, 0, "builtins")
	}
	if last != "" {
		names = append(names, last)
	}
	switch n := len(names); n {
	case 0:
		return "nothing of ours"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// TestFolders: the table of folders in DEVELOPERS.md has every package, and says of each what it may use.
func TestFolders(t *testing.T) {
	page, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]string{}
	for _, row := range regexp.MustCompile(`(?m)^    (\S+) +\S.*? uses (.*)$`).FindAllStringSubmatch(string(page), -1) {
		said[row[1]] = row[2]
	}
	for name := range mayImport {
		if want := mayUseNames(name); said[name] != want {
			t.Errorf("the table says that %s uses %q, want %q", name, said[name], want)
		}
	}
}

// TestCommands: each test that DEVELOPERS.md says to run is there: go test says ok where it finds none.
func TestCommands(t *testing.T) {
	page, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	commands := regexp.MustCompile(`go test (\./[a-z/]+) -run '?(\w+)`).FindAllStringSubmatch(string(page), -1)
	if len(commands) < 10 {
		t.Fatalf("only %d commands are found", len(commands))
	}
	for _, c := range commands {
		files, err := filepath.Glob(filepath.Join("..", c[1], "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, f := range files {
			src, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			found = found || regexp.MustCompile(`(?m)^func (Test|Example|Fuzz)?\w*`+c[2]).Match(src)
		}
		if !found {
			t.Errorf("no test in %s is called %s", c[1], c[2])
		}
	}
}

// packageComment is what stands above the package clause, on one line.
func packageComment(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(gotoken.NewFileSet(), file, nil, parser.ParseComments|parser.PackageClauseOnly)
		if err != nil {
			t.Fatal(err)
		}
		if f.Doc != nil {
			return strings.Join(strings.Fields(f.Doc.Text()), " ")
		}
	}
	t.Errorf("%s has no package comment", dir)
	return ""
}

// forbidden says why a package must not import another; "" if it may.
func forbidden(name, imported string) string {
	if ours, ok := strings.CutPrefix(imported, "pulsewright/"); ok {
		if slices.Contains(mayImport[name], ours) {
			return ""
		}
		return "imports go from cmd to lang to builtins to engine, and to scripts from lang and cmd only"
	}
	if name == "scripts" && imported != "embed" {
		return "scripts imports embed and nothing else"
	}
	if host, _, _ := strings.Cut(imported, "/"); !strings.Contains(host, ".") {
		return "" // the standard library
	}
	for _, m := range mayUse[name] {
		if imported == m || strings.HasPrefix(imported, m+"/") {
			return ""
		}
	}
	if len(mayUse[name]) == 0 {
		return "want the standard library only"
	}
	return "want the standard library or one of " + strings.Join(mayUse[name], ", ")
}

// TestForbidden: the rule above says no where it should.
func TestForbidden(t *testing.T) {
	for _, a := range [][2]string{{"engine", "pulsewright/builtins"}, {"engine", "go.starlark.net/starlark"}, {"builtins", "pulsewright/lang"},
		{"builtins", "pulsewright/scripts"}, {"lang", "github.com/chzyer/readline"}, {"lang", "pulsewright/cmd/pulsewright"}, {"lang/bundle", "pulsewright/lang"}, {"lang/source", "pulsewright/lang/bundle"},
		{"cmd/pulsewright", "pulsewright/engine"}, {"scripts", "fmt"}, {"builtins", "pulsewright/builtins/trial"}, {"builtins/trial", "pulsewright/builtins/survey"},
		{"builtins/say", "pulsewright/builtins"}, {"builtins/picture", "pulsewright/builtins/wave"}, {"engine/kinds", "pulsewright/engine"}, {"builtins", "pulsewright/engine/kinds"}, {"scripts", "pulsewright/engine"}} {
		if forbidden(a[0], a[1]) == "" {
			t.Errorf("%s may import %s", a[0], a[1])
		}
	}
	for _, a := range [][2]string{{"engine", "slices"}, {"scripts", "embed"}, {"lang", "pulsewright/builtins"}, {"builtins/trial", "golang.org/x/sync/errgroup"}} {
		if why := forbidden(a[0], a[1]); why != "" {
			t.Errorf("%s may not import %s: %s", a[0], a[1], why)
		}
	}
}
