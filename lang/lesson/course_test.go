package lesson

import (
	"context"
	"testing"

	"pulsewright/lang"
)

// TestCourse goes through every lesson with nobody there, and holds it to what a lesson of the course is to have.
func TestCourse(t *testing.T) {
	for _, name := range Course() {
		t.Run(name, func(t *testing.T) {
			ctx := context.Background()
			l, err := Embedded(ctx, lang.Config{Seed: 1}, name)
			if err != nil {
				t.Fatal(err)
			}
			for _, text := range Check(ctx, l, lang.Config{Seed: 1}) {
				t.Error(text)
			}
			questions := l.Questions()
			if l.Minutes < 5 || l.Minutes > 10 {
				t.Errorf("takes %d minutes, want 5 to 10", l.Minutes)
			}
			predictions := 0
			for _, i := range questions {
				it := &l.Items[i]
				if len(it.Hints) < 2 {
					t.Errorf("%s: %d hints, want at least 2: where to look, then the idea", it.Where, len(it.Hints))
				}
				switch it.Kind {
				case Predict:
					predictions++
					if it.Why == "" {
						t.Errorf("%s: a wrong prediction is not explained by why=", it.Where)
					}
				case Exercise:
					if len(it.Wrong) < 2 {
						t.Errorf("%s: %d wrong answers are foreseen, want at least 2", it.Where, len(it.Wrong))
					}
				}
			}
			if predictions == 0 {
				t.Error("asks for no prediction")
			}
			if last := &l.Items[questions[len(questions)-1]]; last.Kind != Exercise {
				t.Errorf("%s: the last question is no exercise", last.Where)
			}
		})
	}
}
