package main

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pulsewright/lang"
)

// typedIn are the lines that somebody types in a conversation.
func typedIn(block string) (lines []string) {
	for line := range strings.Lines(block) {
		if now, said, ok := strings.Cut(line, " » "); ok && (now == "  :" || !strings.HasPrefix(now, " ")) {
			lines = append(lines, said)
		}
	}
	return lines
}

// cell is a cell as it is written down, or computed.
var cell = regexp.MustCompile(`[^\w]\(-?\d[^()]*,[^()]*\)`)

// TestGuideJoining: the first two conversations of the page build the same, part for part; how long they are is counted.
func TestGuideJoining(t *testing.T) {
	const path = "../../builtins/guide/joining.md"
	text := readPage(t, path)
	blocks := strings.Split(text, "```\n")
	type count struct{ lines, join, cells int }
	var counts [2]count
	var built [2]string
	for i, block := range []string{blocks[1], blocks[3]} {
		lines := typedIn(block)
		var out strings.Builder
		s, err := lang.New(lang.Config{Out: &out, Dir: t.TempDir()})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		last := `print(sorted([str((p.at if len(p.at) == 3 else p.at + (0,), p.kind, p.facing if "facing" in dir(p) else "")) for p in parts()]))`
		if err := s.Command(context.Background(), strings.Join(lines, "")+last+"\n"); err != nil {
			t.Fatal(err)
		}
		built[i] = out.String()[strings.LastIndex(strings.TrimSpace(out.String()), "\n")+1:]
		from := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "line = ") })
		counts[i].lines = len(lines)
		counts[i].join = len(lines) - from
		counts[i].cells = len(cell.FindAllString(strings.Join(lines, ""), -1))
	}
	if built[0] != built[1] || len(built[0]) < 1000 {
		t.Fatalf("they do not build the same:\n%s\n%s", built[0], built[1])
	}
	a, b := counts[0], counts[1]
	made := fmt.Sprintf("Both build the same parts in the same cells. Counted: %d lines with %d cells written down by sketches and ports, %d lines with %d cells by\ncoordinates; from the first station on, where things are joined and tried, %d lines and %d. Lines and cells are all that is counted; nobody was timed, and how\nmany minutes either takes is not known.\n",
		a.lines, a.cells, b.lines, b.cells, a.join, b.join)
	head, rest, ok := strings.Cut(text, "<!-- lines: made by go test ./cmd/pulsewright -run Guide -update -->\n")
	_, tail, ok2 := strings.Cut(rest, "<!-- end of lines -->")
	if !ok || !ok2 {
		t.Fatal("the page has no place for the lines")
	}
	kept(t, path, text, head+"<!-- lines: made by go test ./cmd/pulsewright -run Guide -update -->\n"+made+"<!-- end of lines -->"+tail)
}
