package invent

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

// TestSearchProgress: the line at the bottom tells the best so far, tries that were not done whole are counted as such, and what a portion lacks it tells how to do without.
func TestSearchProgress(t *testing.T) {
	s, _ := cutScene(t)
	var told []string
	s.Progress = func(what string, _, _ int64) { told = append(told, what) }
	reportOf(t, s, cuts[2])
	if !strings.Contains(strings.Join(told, "\n"), "search: 3 parts; best so far: 2 parts; ") {
		t.Errorf("told is %q", told)
	}

	ctx, cancel := context.WithCancel(context.Background())
	s.Ctx, s.Workers = ctx, 3
	s.Progress = func(string, int64, int64) { cancel() }
	stage.Session(t, s, `search(task((0, 0), (5, 0), [2, 7], later=2), ((0, 0), (5, 3)), ["wire", "link", BUF], tries=30, most=9, seed=3)`)
	text := strings.Join(strings.Fields(s.Kept.(*builtins.Report).Text), " ")
	if m := regexp.MustCompile(`in (\d) tr(?:y|ies) of up to 2000 candidates each(, and [12] more that did not come to an end)?, seed 3, (\d+) run`).FindStringSubmatch(text); m == nil || m[2] == "" && m[1] < "3" {
		t.Errorf("stopped, it says %s", text)
	}

	s.Ctx, s.Progress, s.Portion = nil, nil, builtins.Portion{Index: 1, Count: 3}
	stage.MustSession(t, s, "r = "+cuts[0]+`
expect_error(lambda: r.found, "a portion has no .found: what the whole search finds is known when all portions are gathered; ask hasattr(r, \"found\") first")
expect(not hasattr(r, "found") and hasattr(r, "path"))
`)
}
