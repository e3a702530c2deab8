package why_test

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestWhyNotNamesWhatIsThere: what whynot says of a holder, of the time before a part was placed, and of what is ahead.
func TestWhyNotNamesWhatIsThere(t *testing.T) {
	const later = "log(False)\nwire((50, 0))\nfire((50, 0), 3)\nrun()\nfire((50, 0), 3)\nrun(ticks=9)\n"
	for script, want := range map[string]string{
		"meter((8, 1), \"+x\", name=\"m\")":                                                             "meter m was never told since the beginning, and is at level 0, as no bucket or tray is behind it",
		"meter((8, 1), \"+x\", name=\"m\")\ntray((7, 1))":                                               "meter m was never told since the beginning, and is at level 0, as the holder behind it calls for",
		"meter((8, 1), \"+x\", name=\"m\", level=3)":                                                    "is at level 3, and no bucket or tray is behind it, which calls for level 0; and nothing has told it",
		"meter((8, 1), \"+x\", name=\"m\")\ntray((7, 1), 1)":                                            "is at level 0, the holder behind it calls for level 1",
		"chute((0, 0), \"+x\", name=\"m\")\ntray((-1, 0), 1)":                                           "chute m has no bucket or tray at its front",
		"chute((0, 0), \"+x\", name=\"m\")\ntray((1, 0))":                                               "chute m has no bucket or tray at its back",
		"chute((0, 0), \"+x\", name=\"m\")":                                                             "chute m has no bucket or tray at its back, and none at its front",
		later + "gate((0, 0), \"+x\", \"not\", name=\"m\")":                                             "its power calls for on, as it did since it was placed;",
		later + "tray((0, 0), 1, name=\"m\")":                                                           "tray m is holding 1 token, as it was since it was placed",
		"log(False)\ngate((0, 0), \"+x\", \"not\", name=\"m\")\nwire((50, 0))\nfire((50, 0), 3)\nrun()": "its power calls for on, as it did since the beginning;",
	} {
		s := stage.New()
		s.Width = 400
		if msg := s.Do(script + "\nwhynot(\"m\")"); msg != "" {
			t.Fatal(msg)
		}
		said, _, _ := strings.Cut(s.Printed.String(), "\n")
		if !strings.Contains(said, want) || strings.HasPrefix(want, "chute") && said != want {
			t.Errorf("%s:\ngot  %s\nwant %s", script, said, want)
		}
	}

	for script, want := range map[string]string{
		"whynot(\"l\", since=99)":    "whynot: for parameter since: got 99, want an instant that has been: it is 9.0.0 now",
		"whynot(\"l\", since=10)":    "whynot: for parameter since: got 10, want an instant that has been: it is 9.0.0 now",
		"whynot(\"l\", since=9)":     "",
		"whynot(\"l\", since=now())": "",
	} {
		s := stage.New()
		if msg := s.Do("link((0, 0), \"+y\", name=\"l\")\nrun(ticks=9)\n" + script); msg != want {
			t.Errorf("%s: got %q, want %q", script, msg, want)
		}
	}
}

// TestWhyNotOfGrips: what a shuttle with a grip moved, why it moved nothing, and that it let go.
func TestWhyNotOfGrips(t *testing.T) {
	const posed = "log(False)\nkey((-1, 0), name=\"k\")\n"
	for script, want := range map[string]string{
		"shuttle((0, 0), \"+x\", grip=\"push\", name=\"s\")\npress(\"k\")\nrun()":                                                                     "shuttle s did act: it went out alone at 1.1.0; it moved nothing: no loose slug at its near seat",
		"shuttle((0, 0), \"+x\", slug=\"plug\", name=\"s\")\npress(\"k\")\nrun()":                                                                     "shuttle s did act: it went out at 1.1.0 and set down its slug at 3.0.0",
		"shuttle((0, 0), \"+x\", grip=\"push\", name=\"s\")\nslug((1, 0), \"feed\")\npress(\"k\")\nrun()":                                             "shuttle s did act: it went out with a loose feed at 1.1.0 and set down a loose feed at 3.0.0",
		"shuttle((0, 0), \"+x\", grip=\"push\", out=True, name=\"s\")\nslug((2, 0), \"feed\")\nnudge(\"s\")\nrun()":                                   "shuttle s did act: it went home alone at 1.1.0; it moved nothing: its grip takes none home",
		"shuttle((0, 0), \"+x\", grip=\"both\", out=True, name=\"s\")\nnudge(\"s\")\nrun()":                                                           "shuttle s did act: it went home alone at 1.1.0; it moved nothing: no loose slug at its far seat",
		"shuttle((0, 0), \"+x\", grip=\"push\", name=\"s\")\nslug((1, 0), \"feed\")\nslug((2, 0), \"plug\")\npress(\"k\")\nrun()":                     "shuttle s was blocked at 1.1.0: the seat it needs was taken by a loose slug at (2, 0)",
		"shuttle((0, 0), \"+x\", grip=\"both\", letgo=True, name=\"s\")\nslug((1, 0), \"plug\")\npress(\"k\")\nrelease(\"k\", at=2)\nrun()":           "shuttle s did act: it went out with a loose plug at 1.1.0, let go of its loose plug in flight at 2.1.0 and went home alone at 2.1.0",
		"shuttle((0, 0), \"+x\", grip=\"push\", name=\"s\")\npress(\"k\")\nrelease(\"k\", at=2)\npress(\"k\", at=3)\nrun()":                           "shuttle s did act: it went out alone at 1.1.0, went home alone at 2.1.0 and went out alone at 3.1.0; it moved nothing: no loose slug at its near seat at 1.1.0 and 3.1.0; its grip takes none home at 2.1.0",
		"shuttle((0, 0), \"+x\", grip=\"both\", name=\"s\")\nkey((-2, 0), name=\"q\")\npress(\"k\")\nrelease(\"k\", at=2)\npress(\"q\", at=3)\nrun()": "shuttle s went out alone at 1.1.0 and went home alone at 2.1.0; it moved nothing: no loose slug at its near seat at 1.1.0; no loose slug at its far seat at 2.1.0; since then it is armed but untold: it is home, its power calls for out, since key q was pressed at 3.0.0; and nothing has told it from then on",
	} {
		s := stage.New()
		s.Width = 400
		if msg := s.Do(posed + script + "\nwhynot(\"s\")"); msg != "" {
			t.Fatal(msg)
		}
		if said, _, _ := strings.Cut(s.Printed.String(), "\n"); !strings.HasPrefix(said, want) || strings.Contains(want, "alone at") && said != want {
			t.Errorf("%s:\ngot  %s\nwant %s", script, said, want)
		}
	}
}
