package main

import (
	"context"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"pulsewright/lang"
)

// TestBreakIsFound: what the guide says is missing from station 3 is all that tells it from station 2 next to it.
func TestBreakIsFound(t *testing.T) {
	text, err := os.ReadFile("../../lang/guide/break.md")
	if err != nil {
		t.Fatal(err)
	}
	const cell = `\((\d+), (\d+)\)`
	said := regexp.MustCompile(`station 3 has no shuttle at ` + cell + ` and no feed at\s` + cell + `: found`).FindStringSubmatch(string(text))
	if said == nil {
		t.Fatal("the guide does not say what is missing")
	}
	want := fmt.Sprintf("(%s, %s) cell feed instead of cell None\n(%s, %s) shuttle None instead of cell None\n", said[3], said[4], said[1], said[2])
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Exec(context.Background(), "break.star", `
load("lib/repeaters.star", "chain", "pull_repeater")
log(False)
line = chain(frame(), pull_repeater, 5)
remove("s3.cut")
fire(line[0].input, steps=7); run(ticks=20)
wide = line[1].pitch[0]
def look(x, y):
    s = state((x, y))
    return "%s %s" % (s.kind, s.slug)
for y in range(-9, 10):
    for x in range(wide, 2 * wide):
        if look(x, y) != look(x + wide, y):
            print((x + wide, y), look(x, y), "instead of", look(x + wide, y))
`); err != nil {
		t.Fatal(err)
	}
	if out.String() != want {
		t.Errorf("station 3 lacks\n%swhere the guide says\n%s", out.String(), want)
	}
}
