package lesson

import (
	"context"
	"fmt"
	"io"
	"strings"

	"pulsewright/lang"
)

// Check goes through a lesson with nobody there: all code runs, every answer can be given, no slip is the right answer, solutions pass,
// what is foreseen as wrong does not and gets what is to be said of it, and nobody passes without doing anything. It gives what is
// wrong with the lesson, in words.
func Check(ctx context.Context, l *Lesson, cfg lang.Config) (complaints []string) {
	cfg.Out, cfg.Err = io.Discard, io.Discard
	d := newDesk(cfg)
	defer d.close()
	complain := func(it *Item, format string, args ...any) {
		text := fmt.Sprintf(format, args...)
		if !strings.HasPrefix(text, it.Where) {
			text = it.Where + ": " + text
		}
		complaints = append(complaints, text)
	}
	for i := range l.Items {
		it := &l.Items[i]
		if it.Kind == Say {
			continue
		}
		if ctx.Err() != nil {
			complain(it, "%v", ctx.Err())
			return complaints
		}
		if it.Kind == Exercise {
			checkExercise(ctx, d, it, complain)
			continue
		}
		if err := d.at(ctx, l.Items[:i]); err != nil {
			complain(it, "what leads here does not run: %v", err)
			return complaints
		}
		if it.Kind == Show {
			if err := d.show(ctx, it); err != nil {
				complain(it, "%v", err)
			}
			continue
		}
		checkPrediction(ctx, d, it, complain)
	}
	return complaints
}

func checkPrediction(ctx context.Context, d *desk, it *Item, complain func(*Item, string, ...any)) {
	if err := d.run(ctx, it, it.Code); err != nil {
		complain(it, "%v", err)
		return
	}
	got, err := d.given(ctx, it)
	if err != nil {
		complain(it, "%v", err)
		return
	}
	if said, ok := it.Slips[got]; ok {
		complain(it, "%s is foreseen as wrong (%q), but it is the answer", got, brief(said))
	}
	if err := d.run(ctx, it, it.Why); err != nil {
		complain(it, "why: %v", err)
	}
	if it.Why == "" && len(it.Slips) == 0 {
		complain(it, "nothing is said to somebody who predicts something else: want why= or slips=")
	}
}

func checkExercise(ctx context.Context, d *desk, it *Item, complain func(*Item, string, ...any)) {
	after := func(code string) (missing string, err error) {
		if err := d.anew(); err != nil {
			return "", err
		}
		if err := d.unseen(ctx, it); err != nil {
			return "", err
		}
		if err := d.run(ctx, it, code); err != nil {
			return "", err
		}
		return d.missing(ctx, it)
	}
	switch missing, err := after(""); {
	case err != nil:
		complain(it, "with nothing done the check fails: %v", err)
	case missing == "":
		complain(it, "passes with nothing done")
	}
	for i, code := range it.Solutions {
		switch missing, err := after(code); {
		case err != nil:
			complain(it, "solution %d: %v", i+1, err)
		case missing != "":
			complain(it, "solution %d does not pass: %s", i+1, missing)
		}
	}
	for i, w := range it.Wrong {
		switch missing, err := after(w[0]); {
		case err != nil:
			complain(it, "wrong answer %d: %v", i+1, err)
		case missing == "":
			complain(it, "wrong answer %d passes", i+1)
		case !strings.Contains(missing, tidy(w[1])):
			complain(it, "wrong answer %d is told %q, want %q in it", i+1, missing, w[1])
		}
	}
}

func brief(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:37]) + "..."
	}
	return text
}
