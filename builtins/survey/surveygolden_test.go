package survey

import (
	"os"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestSurveyGolden: what surveys say is as it was, word for word.
func TestSurveyGolden(t *testing.T) {
	src, err := os.ReadFile("testdata/survey.star")
	if err != nil {
		t.Fatal(err)
	}
	s := stage.New()
	s.Workers = 2
	s.Source = func(string) (string, bool) { return string(src), true }
	stage.MustSession(t, s, string(src))
	var lines []string
	for l := range strings.Lines(s.Printed.String()) {
		lines = append(lines, strings.TrimRight(l, " \n"))
	}
	stage.Golden(t, "testdata/survey.txt", []byte(strings.Join(lines, "\n")+"\n"))
}
