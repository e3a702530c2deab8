package lesson

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"pulsewright/lang"
)

// exercise lets the learner work at a bench of their own until the check passes.
func (w *Walk) exercise(it *Item) (course, error) {
	mark := w.marks.mark(it.Key)
	if err := w.lay(it, mark); err != nil {
		return 0, err
	}
	read := func() (string, error) { return w.desk.session.Read(w.In) }
	for {
		chunk, to, err := w.ask(it, mark, read)
		if to != here || err != nil {
			return to, err
		}
		switch word(chunk) {
		case "task":
			w.text(it.Text)
		case "check":
			passed, err := w.judge(it, mark)
			if passed || err != nil {
				return onward, err
			}
		default:
			w.command(mark, chunk)
		}
		if err := w.Progress.Save(); err != nil {
			return 0, err
		}
	}
}

// lay puts the exercise's bench before the learner, with what they had done before.
func (w *Walk) lay(it *Item, mark *Mark) error {
	if err := w.desk.anew(); err != nil {
		return err
	}
	ctx, done := w.Context()
	defer done()
	if it.Hidden {
		if err := w.desk.unseen(ctx, it); err != nil {
			return err
		}
	} else if err := w.desk.run(ctx, it, it.Code); err != nil {
		return err
	}
	w.faint(words)
	if len(mark.Work) == 0 {
		return nil
	}
	w.faint("what you had done:")
	for _, chunk := range mark.Work { // one that goes wrong now, in a lesson that has changed, is kept all the same
		w.desk.session.Report(w.desk.session.Repeat(ctx, chunk))
	}
	return nil
}

// words are those that an exercise understands besides the language.
const words = "check tells whether it is done; task, hint, skip, back, again (from the beginning) and leave do what they say"

// command runs what the learner typed, and keeps it if it went well.
func (w *Walk) command(mark *Mark, chunk string) {
	if k, ok := w.In.(lang.ChunkKeeper); ok {
		k.Keep(chunk)
	}
	ctx, done := w.Context()
	err := w.desk.session.Command(ctx, chunk)
	done()
	w.desk.session.Report(err)
	switch {
	case strings.TrimSuffix(strings.TrimSpace(chunk), "()") == "help":
		w.faint("here: " + words)
	case err == nil && !asks(chunk):
		mark.Work = append(mark.Work, chunk)
	}
}

// asking is a line that looks something up and changes nothing.
var asking = regexp.MustCompile(`^(help(\([^();]*\))?|(map|scope)\(\)|[^;]+\?)$`)

// asks reports whether a line does no more than look something up.
func asks(typed string) bool { return asking.MatchString(strings.TrimSpace(typed)) }

// judge asks the check.
func (w *Walk) judge(it *Item, mark *Mark) (passed bool, err error) {
	mark.Tries++
	ctx, done := w.Context()
	missing, err := w.desk.missing(ctx, it)
	done()
	var bad *codeError
	if errors.As(err, &bad) {
		w.desk.session.Report(bad.err)
		w.line("the check could not be done on what stands here; task says what is asked for")
		return false, nil
	}
	p := w.Config.OutPalette
	if err != nil || missing != "" {
		if missing != "" {
			w.line(p.Paint(p.Head, "Not yet."))
			w.text(missing)
		}
		return false, err
	}
	mark.State = "passed"
	w.line(p.Paint(p.On, fmt.Sprintf("Passed%s.", tries(mark.Tries))))
	if it.Right != "" {
		w.text(it.Right)
	} else {
		w.line("")
	}
	w.shown = true
	return true, nil
}

func tries(n int) string {
	if n == 1 {
		return " at the first check"
	}
	return fmt.Sprintf(" at check %d", n)
}
