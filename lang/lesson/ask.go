package lesson

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"pulsewright/lang"
)

// ask reads until something is typed that is for the question itself, and does meanwhile what the words of lessons ask for. Where one of
// them leads elsewhere, to says where.
func (w *Walk) ask(it *Item, mark *Mark, read func() (string, error)) (typed string, to course, err error) {
	for {
		typed, err := read()
		w.lines = 0
		switch {
		case errors.Is(err, io.EOF):
			return "", left, nil
		case errors.Is(err, lang.ErrInterrupt) || err == nil && strings.TrimSpace(typed) == "":
			if it.Kind == Predict {
				w.want(it)
			}
			continue
		case err != nil:
			return "", here, err
		}
		switch word(typed) {
		case "hint":
			w.hint(it, mark)
			if err := w.Progress.Save(); err != nil {
				return "", here, err
			}
		case "skip":
			if mark.State == "" {
				mark.State = "skipped"
			}
			return "", onward, nil
		case "back":
			return "", backward, nil
		case "again":
			mark.Work = nil
			return "", anew, nil
		case "leave":
			return "", left, nil
		default:
			return typed, here, nil
		}
	}
}

// word is a line that is one of the words of lessons, or says so in the words of the shell.
func word(typed string) string {
	typed = strings.TrimSuffix(strings.TrimSpace(typed), "()")
	switch {
	case typed == "exit" || typed == "quit":
		return "leave"
	case slices.Contains([]string{"hint", "skip", "back", "again", "leave", "check", "task"}, typed):
		return typed
	}
	return ""
}

func (w *Walk) want(it *Item) {
	w.line(fmt.Sprintf("want %s; or hint, skip, back, again, leave", it.wanted()))
}

func (w *Walk) hint(it *Item, mark *Mark) {
	if mark.Hints < len(it.Hints) {
		mark.Hints++
		w.text(fmt.Sprintf("hint %d of %d: %s", mark.Hints, len(it.Hints), it.Hints[mark.Hints-1]))
		return
	}
	if len(it.Hints) == 0 {
		w.line("there are no hints to this one")
		return
	}
	w.line("those were all; the hints again:")
	for _, h := range it.Hints {
		w.text(h)
	}
}
