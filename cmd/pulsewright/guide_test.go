package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/lang"
)

// pages are the README and the pages of the guide, by their files.
func pages(t *testing.T) []string {
	t.Helper()
	files := []string{"../../README.md"}
	for _, dir := range []string{"guide", "../../lang/guide", "../../builtins/guide", "../../engine/guide"} {
		found, err := filepath.Glob(dir + "/*.md")
		if err != nil || len(found) == 0 {
			t.Fatal(dir, err)
		}
		files = append(files, found...)
	}
	return files
}

// kept compares a page with what it should be, or with -update makes it so.
func kept(t *testing.T, path, text, want string) {
	t.Helper()
	if want == text {
		return
	}
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	old := strings.Split(text, "\n")
	for i, line := range strings.Split(want, "\n") {
		if i >= len(old) || old[i] != line {
			t.Fatalf("%s is stale, at line %d: %q; go test ./cmd/pulsewright -run Guide -update", path, i+1, line)
		}
	}
	t.Fatalf("%s is stale: it is longer than it should be", path)
}

func readPage(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The tables of the guide are made from the tables that the words and the kinds of part are made from.
func TestGuideTables(t *testing.T) {
	for _, table := range []struct{ path, what, made string }{
		{"../../builtins/guide/words.md", "words", builtins.Markdown()},
		{"../../engine/guide/medium.md", "kinds", help.KindTable()},
		{"../../engine/guide/medium.md", "pictures", "```\n" + help.KindPictures() + "```"},
	} {
		text := readPage(t, table.path)
		from, to := "<!-- "+table.what+": made by go test ./cmd/pulsewright -run Guide -update -->\n", "<!-- end of "+table.what+" -->"
		head, rest, ok1 := strings.Cut(text, from)
		_, tail, ok2 := strings.Cut(rest, to)
		if !ok1 || !ok2 {
			t.Fatalf("%s has no place for the %s", table.path, table.what)
		}
		kept(t, table.path, text, head+from+strings.TrimSpace(table.made)+"\n"+to+tail)
	}
}

// What the README and the guide show of a conversation or of a script is what comes out.
func TestGuideSessions(t *testing.T) {
	shown := 0
	for _, path := range pages(t) {
		text := readPage(t, path)
		parts := strings.Split(text, "```\n") // every second one stands between fences
		for i := 1; i < len(parts); i += 2 {
			switch block := parts[i]; {
			case strings.HasPrefix(block, "0.0 » "):
				parts[i] = conversation(t, block)
				shown++
			case strings.HasPrefix(block, "$ pulsewright run "):
				parts[i] = endOfScript(t, block)
				shown++
			}
		}
		kept(t, path, text, strings.Join(parts, "```\n"))
	}
	if shown < 3 {
		t.Errorf("%d sessions are shown, want at least 3", shown)
	}
}

// TestGuidePages: every page is listed, in the binary and linked from the README; it reads well at any width, and the README is short.
func TestGuidePages(t *testing.T) {
	readme := readPage(t, "../../README.md")
	if n := len(readme); n > 9<<10 {
		t.Errorf("the README has %d bytes, want at most 9 KB", n)
	}
	for _, path := range pages(t)[1:] {
		name := strings.TrimSuffix(filepath.Base(path), ".md")
		text, ok := guidePage(name)
		if !ok || text != readPage(t, path) && !*update { // what is embedded was read before the update
			t.Errorf("pulsewright guide %s does not show %s", name, path)
		}
		if !strings.HasPrefix(text, "# ") {
			t.Errorf("%s does not begin with what it is about", path)
		}
		link, err := filepath.Rel("../..", path)
		if path == filepath.Join("guide", name+".md") {
			link, err = "cmd/pulsewright/"+path, nil
		}
		if err != nil || !strings.Contains(readme, "("+filepath.ToSlash(link)+")") {
			t.Errorf("the README does not link to %s (%v)", link, err)
		}
		for _, width := range []int{40, 80} {
			for line := range strings.SplitSeq(readable(text, width, func(s string) string { return s }), "\n") {
				long := len(strings.Fields(line)) > 1 && !strings.HasPrefix(line, "    ") && len([]rune(line)) > width
				if long || strings.Contains(line, "**") && name != "language" || strings.HasPrefix(line, "|") {
					t.Errorf("%s at %d columns: %q", name, width, line)
				}
			}
		}
	}
	if len(guidePages) != len(pages(t))-1 {
		t.Errorf("%d pages are listed, %d are there", len(guidePages), len(pages(t))-1)
	}
}

// TestGuideChecks: R1 to R20 are all there, and each names a test of the project.
func TestGuideChecks(t *testing.T) {
	tests := ""
	for _, dir := range []string{"../../engine", "../../builtins", "../../builtins/*"} {
		files, err := filepath.Glob(dir + "/*_test.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			tests += readPage(t, f)
		}
	}
	n := 0
	for line := range strings.Lines(readPage(t, "../../engine/guide/checks.md")) {
		if !strings.HasPrefix(line, "| R") {
			continue
		}
		n++
		cs := cells(strings.TrimSpace(line))
		if len(cs) != 5 || cs[0] != fmt.Sprintf("R%d", n) || !strings.Contains(tests, "\nfunc "+cs[4]+"(t *testing.T)") {
			t.Errorf("row %d: %q names no test of the project", n, cs)
		}
	}
	if n != 20 {
		t.Errorf("%d checks, want 20", n)
	}
}

// conversation says again what the user says in a block and returns the whole of it.
func conversation(t *testing.T, block string) string { return conversationIn(t, block, false) }

func conversationIn(t *testing.T, block string, ascii bool) string {
	t.Helper()
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Dir: t.TempDir(), ASCII: ascii})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	lines := slices.Collect(strings.Lines(block))
	for i, line := range lines {
		if _, said, ok := strings.Cut(line, " » "); ok && !strings.HasPrefix(line, " ") {
			now := s.Now()
			fmt.Fprintf(&out, "%d.%d » %s", now.Tick, now.Step, said)
			for _, more := range lines[i+1:] {
				next, ok := strings.CutPrefix(more, "  : » ")
				if !ok {
					break
				}
				out.WriteString(more)
				said += next
			}
			if err := s.Command(context.Background(), said); err != nil {
				t.Fatalf("%s: %v", said, err)
			}
		}
	}
	return out.String()
}

// TestGuideInASCII: with --ascii a page has no other letters, and a conversation in it is what the shell shows then.
func TestGuideInASCII(t *testing.T) {
	shown := 0
	for _, name := range guidePages {
		page, _ := guidePage(name)
		for line := range strings.Lines(asciiPage(page)) {
			if strings.ContainsFunc(line, func(r rune) bool { return r > '~' }) {
				t.Errorf("%s: %s", name, line)
			}
		}
		blocks := strings.Split(page, "```\n")
		for i := 1; i < len(blocks); i += 2 {
			if !strings.HasPrefix(blocks[i], "0.0 » ") {
				continue
			}
			want := promptMark.ReplaceAllString(conversationIn(t, blocks[i], true), "$1 |>")
			if got := asciiPage(blocks[i]); got != want {
				t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
			}
			shown++
		}
	}
	if shown == 0 {
		t.Error("no conversation is shown")
	}
	const column = "run FILE [name=value…]     a script\ntest…  a\n"
	if got := asciiPage(column); got != "run FILE [name=value...]   a script\ntest...  a\n" {
		t.Errorf("%q", got)
	}
}

// endOfScript runs the script of a block and returns the block with the end of its output: from the last line on that begins
// with the word that the block begins with.
func endOfScript(t *testing.T, block string) string {
	t.Helper()
	head, tail, ok := strings.Cut(block, "…\n")
	if !ok {
		t.Fatalf("no … in %q", block)
	}
	file := strings.TrimSpace(strings.TrimPrefix(head, "$ pulsewright run "))
	src, err := os.ReadFile("../../" + file)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Seed: 1, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Exec(context.Background(), file, string(src)); err != nil {
		t.Fatal(err)
	}
	word, _, _ := strings.Cut(tail, " ")
	at := strings.LastIndex("\n"+out.String(), "\n"+word+" ")
	if at < 0 {
		t.Fatalf("%s prints no line that begins with %q", file, word)
	}
	return head + "…\n" + out.String()[at:]
}
