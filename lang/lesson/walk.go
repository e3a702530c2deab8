package lesson

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/lang"
)

// Walk goes through a lesson with a learner.
type Walk struct {
	Lesson   *Lesson
	Nth, Of  int // the lesson's place in the course; 0: in none
	Config   lang.Config
	In       lang.LineReader
	Context  func() (context.Context, context.CancelFunc) // of each command
	Progress *Progress
	Pause    bool       // wait for Enter before a text that would push what was shown away
	Rows     func() int // of the screen, where Pause is set; nil: 24

	desk  *desk
	marks *Marks
	shown bool // something since the learner last typed
	lines int  // written since then
}

// ErrLeft says that the learner left before the end; all is kept.
var ErrLeft = errors.New("the lesson was left")

// where to go on after a question
type course uint8

const (
	onward course = iota
	backward
	anew // the question once more, from its beginning
	left
	here // at the question still
)

// Complete offers what may stand at the cursor of the learner's line.
func (w *Walk) Complete(line string, pos int, more string) lang.Completion {
	if w.desk == nil || w.desk.session == nil {
		return lang.Completion{}
	}
	return w.desk.session.Complete(line, pos, more)
}

// Run goes on where the learner left, to the end of the lesson.
func (w *Walk) Run() error {
	w.Config.Out = counting{w.Config.Out, &w.lines}
	w.desk = newDesk(w.Config)
	defer w.desk.close()
	w.marks = w.Progress.of(w.Lesson.Name)
	questions := w.Lesson.Questions()
	k := slices.IndexFunc(questions, func(i int) bool { return w.marks.At == w.Lesson.Items[i].Key })
	if k < 0 {
		k = 0
	}
	again := w.marks.Begun && k > 0
	w.head(k, again)
	w.marks.Begun = true
	for k <= len(questions) {
		to, err := w.part(questions, k, again)
		again = false
		if err != nil {
			return err
		}
		switch to {
		case onward:
			k++
		case backward:
			k = max(0, k-1)
			w.line("")
		case left:
			if err := w.Progress.Save(); err != nil {
				return err
			}
			return ErrLeft
		}
		if k < len(questions) {
			w.marks.At = w.Lesson.Items[questions[k]].Key
		}
		if err := w.Progress.Save(); err != nil {
			return err
		}
	}
	w.marks.At, w.marks.Done = "", true
	w.end()
	return w.Progress.Save()
}

// head says where the learner is.
func (w *Walk) head(k int, again bool) {
	l, p := w.Lesson, w.Config.OutPalette
	title := "lesson: " + l.Title
	if w.Nth > 0 {
		title = fmt.Sprintf("lesson %d of %d: %s", w.Nth, w.Of, l.Title)
	}
	w.line(p.Paint(p.Head, title))
	if again {
		w.faint(fmt.Sprintf("on with question %d of %d; back shows the one before", k+1, len(l.Questions())))
	} else {
		w.faint(fmt.Sprintf("about %s, %s; hint, skip, back, again and leave do what they say", say.Count(l.Minutes, "minute"), say.Count(len(l.Questions()), "question")))
	}
	w.line("")
}

// part is what leads to question k, and the question; after the last one, what is said at the end. Again: the learner
// comes back, and sees once more what stands on the bench.
func (w *Walk) part(questions []int, k int, again bool) (course, error) {
	from, to := 0, len(w.Lesson.Items)
	if k > 0 {
		from = questions[k-1] + 1
	}
	if k < len(questions) {
		to = questions[k]
	}
	ctx, done := w.Context()
	err := w.desk.at(ctx, w.Lesson.Items[:from])
	done()
	if err != nil {
		return 0, err
	}
	if again {
		if err := w.redraw(w.Lesson.Items[:from]); err != nil {
			return 0, err
		}
	}
	for i := from; i < to; i++ {
		if to, err := w.item(&w.Lesson.Items[i]); to != onward || err != nil {
			return to, err
		}
	}
	if k == len(questions) {
		return onward, nil
	}
	if to, err := w.pause(); to != onward || err != nil {
		return to, err
	}
	it := &w.Lesson.Items[questions[k]]
	w.faint(fmt.Sprintf("question %d of %d", k+1, len(questions)))
	w.text(it.Text)
	if it.Kind == Predict {
		return w.predict(it)
	}
	return w.exercise(it)
}

// redraw shows the last picture of some items as the bench stands now.
func (w *Walk) redraw(items []Item) error {
	for _, it := range slices.Backward(items) {
		if it.Picture == "" || it.Hidden {
			continue
		}
		ctx, done := w.Context()
		defer done()
		if err := w.desk.session.Command(ctx, it.Picture+"()"); err != nil {
			return err
		}
		w.line("")
		w.shown = true
		return nil
	}
	return nil
}

// item says or shows.
func (w *Walk) item(it *Item) (course, error) {
	if it.Kind == Say {
		if to, err := w.pause(); to != onward || err != nil {
			return to, err
		}
		w.text(it.Text)
		return onward, nil
	}
	ctx, done := w.Context()
	var text bytes.Buffer
	out := w.desk.out.w
	w.desk.out.w = &text
	err := w.desk.show(ctx, it)
	w.desk.out.w = out
	done()
	if rows := bytes.Count(text.Bytes(), []byte("\n")) + 2; w.lines > 0 && w.lines+rows > w.rows() { // with the line that waits
		w.shown = true
		if to, err := w.pause(); to != onward || err != nil {
			return to, err
		}
	}
	w.Config.Out.Write(text.Bytes())
	if !it.Hidden {
		w.line("")
		w.shown = true
	}
	return onward, err
}

// rows are those of the screen.
func (w *Walk) rows() int {
	if w.Rows == nil {
		return 24
	}
	return w.Rows()
}

// counting counts the lines that are written.
type counting struct {
	io.Writer
	lines *int
}

func (c counting) Write(p []byte) (int, error) {
	*c.lines += bytes.Count(p, []byte("\n"))
	return c.Writer.Write(p)
}

// pause waits before what was shown is pushed away.
func (w *Walk) pause() (course, error) {
	if !w.Pause || !w.shown {
		return onward, nil
	}
	w.shown = false
	p := w.Config.OutPalette
	for {
		typed, err := w.In.ReadLine(p.Paint(p.Faint, "Enter goes on "), "")
		w.lines = 0
		switch {
		case errors.Is(err, io.EOF):
			return left, nil
		case errors.Is(err, lang.ErrInterrupt) || err == nil && strings.TrimSpace(typed) == "":
			return onward, nil
		case err != nil:
			return 0, err
		}
		switch word(typed) {
		case "leave":
			return left, nil
		case "back":
			return backward, nil
		case "again":
			return anew, nil
		}
		w.line("nothing is asked yet: Enter goes on; or back, again, leave")
	}
}

// predict asks, runs, compares and explains.
func (w *Walk) predict(it *Item) (course, error) {
	mark := w.marks.mark(it.Key)
	for i, c := range it.Choices {
		w.line(fmt.Sprintf("  %d  %s", i+1, c))
	}
	p := w.Config.OutPalette
	read := func() (string, error) { return w.In.ReadLine(p.Paint(p.Prompt, "you predict:")+" ", "") }
	for {
		typed, to, err := w.ask(it, mark, read)
		if to != here || err != nil {
			return to, err
		}
		if asks(typed) {
			w.lookUp(it, typed)
			continue
		}
		given, ok := it.reading(typed)
		if !ok {
			w.want(it)
			continue
		}
		return onward, w.compare(it, mark, given)
	}
}

// lookUp answers a line that looks something up before it is predicted: nothing runs.
func (w *Walk) lookUp(it *Item, typed string) {
	if strings.TrimSuffix(strings.TrimSpace(typed), "()") == "help" {
		w.want(it)
		w.line("help(\"lamp\") explains a word, map() shows what stands here")
		return
	}
	ctx, done := w.Context()
	defer done()
	w.desk.session.Report(w.desk.session.Command(ctx, strings.TrimSpace(typed)))
}

// compare runs what was predicted and sets the two against each other.
func (w *Walk) compare(it *Item, mark *Mark, given string) error {
	ctx, done := w.Context()
	defer done()
	if err := w.desk.run(ctx, it, it.Code); err != nil {
		return err
	}
	got, err := w.desk.given(ctx, it)
	if err != nil {
		return err
	}
	p := w.Config.OutPalette
	first := mark.State == "" || mark.State == "skipped"
	if first {
		mark.Given = given
	}
	w.line("")
	if given == got {
		if first {
			mark.State = "right"
		}
		w.line(p.Paint(p.On, "As you predicted: "+got))
	} else {
		if first {
			mark.State = "wrong"
		}
		w.line(p.Paint(p.Head, fmt.Sprintf("You predicted: %s. It was: %s.", given, got)))
		if said := it.Slips[given]; said != "" {
			w.text(said)
		}
		if it.Why != "" {
			if err := w.desk.run(ctx, it, it.Why); err != nil {
				return err
			}
		}
	}
	w.line("")
	w.shown = true
	return nil
}

func (w *Walk) end() {
	right, all := 0, w.Lesson.Questions()
	for _, i := range all {
		if m := w.marks.Mark[w.Lesson.Items[i].Key]; m != nil && (m.State == "right" || m.State == "passed") {
			right++
		}
	}
	p := w.Config.OutPalette
	w.line(p.Paint(p.Head, fmt.Sprintf("end of the lesson: %d of %s right at the first answer or passed", right, say.Count(len(all), "question"))))
}

func (w *Walk) line(text string) { fmt.Fprintln(w.Config.Out, text) }

// faint writes a line about the lesson itself.
func (w *Walk) faint(text string) {
	p := w.Config.OutPalette
	for line := range strings.SplitSeq(say.Fill(text, "", "", w.width()), "\n") {
		w.line(p.Paint(p.Faint, line))
	}
}

// width is how wide texts are: a line that is too long is hard to read.
func (w *Walk) width() int {
	if w.Config.Width == nil {
		return 80
	}
	return min(w.Config.Width(), 90)
}

// text writes paragraphs.
func (w *Walk) text(text string) {
	for para := range strings.SplitSeq(text, "\n\n") {
		w.line(say.Fill(para, "", "", w.width()))
		w.line("")
	}
}
