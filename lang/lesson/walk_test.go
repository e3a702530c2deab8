package lesson

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/lang"
)

// lines is a learner who types these lines and then leaves.
type lines []string

func (l *lines) ReadLine(prompt, prefill string) (string, error) {
	if len(*l) == 0 {
		return "", io.EOF
	}
	line := (*l)[0]
	*l = (*l)[1:]
	return line, nil
}

func forever() (context.Context, context.CancelFunc) { return context.Background(), func() {} }

// reads reads a lesson from its text.
func reads(t *testing.T, text string) (*Lesson, string, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "trial.star")
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	l, err := FromFile(context.Background(), lang.Config{Seed: 1, Err: &said}, path)
	return l, said.String(), err
}

// takes has a learner take a lesson.
func takes(t *testing.T, l *Lesson, p *Progress, typed ...string) string {
	t.Helper()
	return walks(t, l, p, false, typed...)
}

// walks is the same, with or without pauses.
func walks(t *testing.T, l *Lesson, p *Progress, pause bool, typed ...string) string {
	t.Helper()
	var out bytes.Buffer
	in := lines(typed)
	w := &Walk{Lesson: l, Config: lang.Config{Seed: 1, Out: &out, Err: &out}, In: &in, Context: forever, Progress: p, Pause: pause}
	if err := w.Run(); err != nil && err != ErrLeft {
		t.Fatalf("%v\n%s", err, out.String())
	}
	return out.String()
}

func has(t *testing.T, text string, want ...string) {
	t.Helper()
	at := 0
	for _, w := range want {
		i := strings.Index(text[at:], w)
		if i < 0 {
			t.Fatalf("%q is not there, or not in its place, in:\n%s", w, text)
		}
		at += i + len(w)
	}
}

func progress(t *testing.T) *Progress {
	t.Helper()
	p, err := Load(filepath.Join(t.TempDir(), "state", "lessons.json"))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestTemplate(t *testing.T) {
	l, said, err := reads(t, Template)
	if err != nil {
		t.Fatal(err, said)
	}
	if c := Check(context.Background(), l, lang.Config{Seed: 1}); len(c) > 0 {
		t.Fatal(c)
	}
	p := progress(t)
	text := takes(t, l, p, "one", "hint", "hint", "1", "check", "hint", "found = \"east\"", "check", "found = \"north\"", "check")
	has(t, text, "lesson: A bell for the pilot", "question 1 of 2", "want a whole number", "hint 1 of 1", "the hints again",
		"You predicted: 1. It was: 0.", "A lamp reacts at once", "lamp bell lit up", "question 2 of 2", "Not yet.", "It is another one", "hint 1 of 2", "It is another one", "Passed at check 3.", "end of the lesson: 1 of 2 questions")
	if strings.Contains(text, "east") && strings.Contains(text[:strings.Index(text, "question 2")], "east") {
		t.Error("what is hidden is seen")
	}
	m := p.Lessons["trial"]
	if !m.Done || m.Mark["question 1"].State != "wrong" || m.Mark["question 1"].Given != "1" || m.Mark["question 2"].Tries != 3 {
		t.Errorf("%+v %+v %+v", m, m.Mark["question 1"], m.Mark["question 2"])
	}
}

// TestLeaveAndReturn: a learner who leaves finds what they did, and the desk as it was.
func TestLeaveAndReturn(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	p := progress(t)
	has(t, takes(t, l, p, "0", "mine = 7", "wrong +", "leave"), "As you predicted: 0", "question 2 of 2")
	q, err := Load(p.path)
	if err != nil {
		t.Fatal(err)
	}
	text := takes(t, l, q, "print(mine * 6)", "again", "print(mine)", "back", "0", "skip")
	has(t, text, "on with question 2 of 2", "what you had done:", "mine = 7", "42", "question 2 of 2", "mine", "question 1 of 2", "As you predicted: 0", "end of the lesson: 1 of 2")
	if q.Lessons["trial"].Mark["question 2"].State != "skipped" {
		t.Error("question 2 is not skipped")
	}
}

// TestReturnShows: who comes back sees the last picture of the bench once more, and once only.
func TestReturnShows(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	p := progress(t)
	first := takes(t, l, p, "0", "leave")
	drawn := regexp.MustCompile(`z = 0 `)
	if again := takes(t, l, p, "leave"); len(drawn.FindAllString(first, -1)) != 1 || len(drawn.FindAllString(again, -1)) != 1 {
		t.Errorf("the map is not shown once and once:\n%s\n---\n%s", first, again)
	}
}

// TestHandoutAsItStands: what a lesson says is no markup; an exercise that begins with something on the bench shows it, one that begins with nothing does not.
func TestHandoutAsItStands(t *testing.T) {
	l, _, err := reads(t, `lesson("A * B", minutes = 5)
say("Two <b>bold</b> * stars * and a_b_c, `+"`x * y_z <i>`"+`.")
exercise("With a lamp.", start = "lamp((0, 0), name=\"quay\")", check = lambda names: None, solutions = ["x = 1"])
exercise("With nothing.", start = "y = 2", check = lambda names: None, solutions = ["x = 1"])
`)
	if err != nil {
		t.Fatal(err)
	}
	var text, page bytes.Buffer
	ctx := context.Background()
	if err := Markdown(ctx, &text, l, lang.Config{Seed: 1}, false); err != nil {
		t.Fatal(err)
	}
	if err := HTML(ctx, &page, l, lang.Config{Seed: 1}, false); err != nil {
		t.Fatal(err)
	}
	has(t, text.String(), `# A \* B`, `&lt;b>bold&lt;/b> \* stars \* and a\_b\_c, `+"`x * y_z <i>`", "l lamp dark")
	if n := strings.Count(page.String(), "<svg"); n != 1 {
		t.Errorf("%d pictures, want that of the first exercise", n)
	}
}

// TestAsides: a learner who asks the way leaves, looks up and goes back by the words of the shell as by those of lessons, and an answer typed before
// the question does not vanish.
func TestAsides(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	p := progress(t)
	text := walks(t, l, p, true, "0", "", "help", "help(\"lamp\")", "map()", "hint", "quit")
	has(t, text, "nothing is asked yet: Enter goes on", "question 1 of 2", "want a whole number; or hint, skip, back, again, leave", "Places a lamp", "0 k  l", "hint 1 of 1")
	if q, err := Load(p.path); err != nil || q.Lessons["trial"].Mark["question 1"].Hints != 1 || q.Lessons["trial"].Mark["question 1"].State != "" {
		t.Errorf("what was left is not kept: %v", err)
	}
	text = walks(t, l, p, true, "", "0", "back", "", "0", "again", "help()", "exit()", "print(1)")
	has(t, text, "question 1 of 2", "As you predicted", "question 1 of 2", "As you predicted", "question 2 of 2", "first, type these", "here: check tells whether it is done")
	if strings.Contains(text, "print(1)") || strings.Contains(text, "not defined") {
		t.Errorf("exit() did not leave:\n%s", text)
	}
}

// TestScreenful: what does not fit below the text waits until that was read; where there is room it does not.
func TestScreenful(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	for rows, before := range map[int]bool{40: false, 12: true} {
		var out bytes.Buffer
		in := listening{lines{"", "", "0"}, &out}
		w := &Walk{Lesson: l, Config: lang.Config{Seed: 1, Out: &out, Err: &out}, In: &in, Context: forever, Progress: progress(t), Pause: true, Rows: func() int { return rows }}
		if err := w.Run(); err != ErrLeft {
			t.Fatal(err)
		}
		if i, j := strings.Index(out.String(), "[Enter goes on]"), strings.Index(out.String(), "z = 0"); (i < j) != before {
			t.Errorf("%d rows: waits at %d, draws at %d:\n%s", rows, i, j, out.String())
		}
	}
}

// listening writes the prompts down, too.
type listening struct {
	lines
	out *bytes.Buffer
}

func (l *listening) ReadLine(prompt, prefill string) (string, error) {
	l.out.WriteString("[" + strings.TrimSpace(prompt) + "]")
	return l.lines.ReadLine(prompt, prefill)
}

// TestReturnIsQuiet: on coming back what was typed is shown and done, and what it had printed, played and looked up is not shown again.
func TestReturnIsQuiet(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	p := progress(t)
	takes(t, l, p, "0", "press(\"quay\")", "play()", "help(\"lamp\")", "print(6 * 7)", "table([[\"a\"], [6 * 8]])", "export(\"x.csv\")", "leave")
	defer os.Remove("x.csv")
	played, paged := 0, 0
	var out bytes.Buffer
	in := lines{"print(now())", "play()"}
	w := &Walk{Lesson: l, In: &in, Context: forever, Progress: p, Config: lang.Config{Seed: 1, Out: &out, Err: &out,
		Page: func(string) { paged++ }, Player: func(context.Context, builtins.Film, float64) error { played++; return nil }}}
	if err := w.Run(); err != ErrLeft {
		t.Fatal(err)
	}
	has(t, out.String(), "what you had done:", "press(\"quay\")", "play()", "print(6 * 7)", "export(\"x.csv\")", "1.0.0", "played 1 turn")
	for _, again := range []string{"42", "48", "Places a lamp", "help(", "is there already", "wrote"} {
		if strings.Contains(out.String(), again) {
			t.Errorf("%q is shown again:\n%s", again, out.String())
		}
	}
	if played != 1 || paged != 0 {
		t.Errorf("played %d times, %d pages", played, paged)
	}
}

// TestComplaints: each fault of a lesson is found, with its place.
func TestComplaints(t *testing.T) {
	const head = "lesson(\"Trial\", minutes=5)\n"
	for _, c := range [][2]string{
		{"say(\"x\")\n", "a lesson begins with lesson(title, minutes)"},
		{head + "say(\"x\")\n", "asks nothing"},
		{head + "predict(\"x\", code=\"\", answer=lambda n: 1, forms=\"part\")\n", "forms"},
		{head + "predict(\"x\", code=\"\", answer=lambda n: 1, form=\"colour\")\n", "want one of number, part, order, choice|form must be one of number, part, order, choice"},
		{head + "predict(\"x\", code=\"\", answer=3)\n", "answer is a function that is given the names and gives what happened, such as lambda names: ...; got 3"},
		{head + "exercise(\"x\", check=None, solutions=[\"a\"])\n", "check is a function that is given the names and gives None or what is missing"},
		{head + "exercise(\"x\", check=lambda n: None, solutions=[])\n", "solutions must hold at least one"},
		{head + "predict(\"x\", code=\"\", answer=lambda n: 1, key=\"k\")\npredict(\"y\", code=\"\", answer=lambda n: 1, key=\"k\")\n", "two questions with the key \"k\""},
	} {
		_, said, err := reads(t, c[0])
		found := false
		for want := range strings.SplitSeq(c[1], "|") {
			found = found || err != nil && strings.Contains(said+err.Error(), want)
		}
		if !found {
			t.Errorf("%s\nsaid %s %v, want %s", c[0], said, err, c[1])
		}
	}
	for _, c := range [][2]string{
		{"show(\"nothing\")\npredict(\"x\", code=\"\", answer=lambda n: 1, why=\"1\")\n", "nothing is not defined"},
		{"predict(\"x\", code=\"\", answer=lambda n: \"quay\", why=\"1\")\n", "answer gives quay, which is not a whole number"},
		{"predict(\"x\", code=\"\", answer=lambda n: 1, slips={1: \"no\"})\n", "1 is foreseen as wrong"},
		{"predict(\"x\", code=\"\", answer=lambda n: 1)\n", "nothing is said to somebody who predicts something else"},
		{"exercise(\"x\", check=lambda n: None, solutions=[\"a = 1\"])\n", "passes with nothing done"},
		{"exercise(\"x\", check=lambda n: \"no\", solutions=[\"a = 1\"])\n", "solution 1 does not pass: no"},
		{"exercise(\"x\", check=lambda n: None if \"a\" in n else \"no\", solutions=[\"a = 1\"], wrong=[(\"a = 2\", \"no\")])\n", "wrong answer 1 passes"},
		{"exercise(\"x\", check=lambda n: None if \"a\" in n else \"no a\", solutions=[\"a = 1\"], wrong=[(\"b = 2\", \"no b\")])\n", "wrong answer 1 is told \"no a\", want \"no b\" in it"},
	} {
		l, said, err := reads(t, head+c[0])
		if err != nil {
			t.Errorf("%s\n%v %s", c[0], err, said)
			continue
		}
		complaints := strings.Join(Check(context.Background(), l, lang.Config{Seed: 1}), "\n")
		if !strings.Contains(complaints, c[1]) || !strings.Contains(complaints, "trial.star:") && !strings.Contains(complaints, "<shell>") {
			t.Errorf("%s\ncomplaints %q, want %q and its place", c[0], complaints, c[1])
		}
	}
}

func TestHandout(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	var with, without, page bytes.Buffer
	ctx := context.Background()
	for _, err := range []error{Markdown(ctx, &with, l, lang.Config{Seed: 1}, true), Markdown(ctx, &without, l, lang.Config{Seed: 1}, false), HTML(ctx, &page, l, lang.Config{Seed: 1}, false)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	has(t, with.String(), "# A bell for the pilot", "K on", "Question 1 of 2", "It is 0.", "lamp bell lit up", "Question 2 of 2", "found = \"north\"")
	has(t, without.String(), "# A bell for the pilot", "I predict: ___", "Question 2 of 2")
	has(t, page.String(), "<h1>A bell for the pilot</h1>", "<svg", "</svg>", "class=\"room\"", "</html>")
	for _, spoiler := range []string{"It is 0", "north", "lit up", "east"} {
		if strings.Contains(without.String(), spoiler) || strings.Contains(page.String(), spoiler) {
			t.Errorf("the handout without solutions says %q", spoiler)
		}
	}
	for _, outside := range []string{"http:", "https:", "url(", "<script", "<link"} {
		if strings.Contains(strings.ReplaceAll(page.String(), "http://www.w3.org/2000/svg", ""), outside) {
			t.Errorf("the page has %s in it", outside)
		}
	}
}

func TestSheet(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	anna, bo := progress(t), progress(t)
	takes(t, l, anna, "0", "found = \"north\"", "check")
	takes(t, l, bo, "1", "hint", "leave")
	s := NewSheet()
	s.Add("anna", anna)
	s.Add("=bo", bo)
	var text, rows bytes.Buffer
	s.Text(&text, 0)
	if err := s.CSV(&rows); err != nil {
		t.Fatal(err)
	}
	has(t, text.String(), "learner  trial", "anna     2/2*", "=bo      0/1+1")
	has(t, rows.String(), "anna,trial,question 1,right,0,0,0", "anna,trial,question 2,passed,,1,0", "'=bo,trial,question 1,wrong,1,0,0", "'=bo,trial,question 2,,,0,1")
}

// TestWideSheet: what is wider than the screen goes on below, each lesson once, each block with the learners.
func TestWideSheet(t *testing.T) {
	s := NewSheet()
	for _, name := range []string{"anna", "bo"} {
		p := progress(t)
		for _, lesson := range Course() {
			p.of(lesson).Begun = true
			p.of(lesson).mark("k").State = "skipped"
		}
		s.Add(name, p)
	}
	for _, columns := range []int{0, 10, 40, 80} {
		var text bytes.Buffer
		s.Text(&text, columns)
		blocks := strings.Split(text.String(), "\n\n")
		for _, line := range strings.Split(text.String(), "\n") {
			if columns >= 40 && len(line) > columns && !strings.HasPrefix(line, "right of") {
				t.Errorf("%d columns: %q", columns, line)
			}
		}
		for i, b := range blocks {
			has(t, b, "learner  "+strings.Fields(b)[1], "\nanna     0/1", "\nbo       0/1")
			if columns == 0 && i > 0 {
				t.Errorf("folded where nobody asked:\n%s", text.String())
			}
		}
		for _, lesson := range Course() {
			if strings.Count(text.String(), "  "+lesson) != 1 {
				t.Errorf("%d columns: %s is not there once:\n%s", columns, lesson, text.String())
			}
		}
		has(t, text.String(), "right of answered or skipped")
	}
	var empty bytes.Buffer
	if NewSheet().Text(&empty, 80); !strings.HasPrefix(empty.String(), "learner\n") {
		t.Errorf("%q", empty.String())
	}
}

// TestHandoutOfAnything: paragraphs of a question stay one question, what runs unseen is for the teacher alone, and pictures are told apart.
func TestHandoutOfAnything(t *testing.T) {
	l, said, err := reads(t, `lesson("Trial", minutes=1)
show("key((0, 0), name=\"quay\")", picture="map")
show("press(\"quay\")", hidden=True)
show("lamp((1, 0), name=\"bell\")", picture="map")
predict("One.\n\nTwo.", code="run()", answer=lambda n: 1, why="why(\"bell\")")
exercise("Find it.", start="wire((9, 9), name=\"fault\")", hidden=True, check=lambda n: None if "a" in n else "no", solutions=["a = 1"])
`)
	if err != nil {
		t.Fatal(err, said)
	}
	var with, without, page bytes.Buffer
	ctx := context.Background()
	for _, err := range []error{Markdown(ctx, &with, l, lang.Config{Seed: 1}, true), Markdown(ctx, &without, l, lang.Config{Seed: 1}, false), HTML(ctx, &page, l, lang.Config{Seed: 1}, true)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	has(t, without.String(), "*About 1 minute*", "**Question 1 of 2. One.**\n\n**Two.**")
	has(t, with.String(), "What was done unseen:", "press(\"quay\")", "» run()", "bell                       ⇡ lit", "It is 1.", "lamp bell lit up", "What was done unseen:", "fault", "a = 1")
	if strings.Contains(without.String(), "fault") || strings.Contains(without.String(), "press") {
		t.Errorf("the class is told what is hidden:\n%s", without.String())
	}
	for _, line := range regexp.MustCompile("id=\"[^\"]*\"").FindAllString(page.String(), -1) {
		if strings.Count(page.String(), line) > 1 {
			t.Errorf("%s is there twice", line)
		}
	}
	has(t, page.String(), "One.<br><br>Two.")
	if strings.Count(page.String(), "<svg") != 2 || strings.Contains(page.String(), "#fff;") || !strings.Contains(page.String(), "white-space: pre-wrap") {
		t.Error("two pictures, on no ground of their own, and nothing cut off on paper are wanted")
	}
}

// TestOwnName: a lesson from a file that is called as one of the course has answers of its own.
func TestOwnName(t *testing.T) {
	dir := t.TempDir()
	for file, want := range map[string]string{"ticks.star": "ticks.star", "buoys.star": "buoys"} {
		path := filepath.Join(dir, file)
		if err := os.WriteFile(path, []byte(Template), 0o644); err != nil {
			t.Fatal(err)
		}
		l, err := FromFile(context.Background(), lang.Config{Seed: 1}, path)
		if err != nil || l.Name != want {
			t.Errorf("%s is called %q, %v", file, l.Name, err)
		}
	}
}

// TestCheckLeavesNoTrace: what a check does on the learner's bench is taken back.
func TestCheckLeavesNoTrace(t *testing.T) {
	l, said, err := reads(t, `lesson("Trial", minutes=5)
def done(names):
    if "quay" not in names:
        return "no key"
    press(names["quay"]); run()
    key((5, 5), name="extra")
    fresh()
    return "now at %d" % now().tick
exercise("x", check=done, solutions=["a = 1"])
`)
	if err != nil {
		t.Fatal(err, said)
	}
	text := takes(t, l, progress(t), "quay = key((0, 0), name=\"quay\")", "check", "print(now(), len(parts()), parts()[0].state)", "undo()", "check")
	has(t, text, "now at 0", "0.0.0 1 off", "undone", "no key")
}

// TestWorkIsKept: what a learner wrote stays when the lesson has changed under it; an undone command is undone again, the whole of it.
func TestWorkIsKept(t *testing.T) {
	l, _, err := reads(t, Template)
	if err != nil {
		t.Fatal(err)
	}
	p := progress(t)
	takes(t, l, p, "0", "a = 1", "b = 2; c = 3", "undo()", "d = 4", "leave")
	mark := p.Lessons["trial"].Mark["question 2"]
	mark.Work = append([]string{"gone = east"}, mark.Work...)
	text := takes(t, l, p, "print(a, d)", "print(c)", "leave")
	has(t, text, "what you had done:", "gone = east", "east is not defined", "b = 2; c = 3", "» undo()", "d = 4", "1 4", "c is not defined")
	if len(mark.Work) < 5 || mark.Work[0] != "gone = east" {
		t.Errorf("kept %q", mark.Work)
	}
}

// TestDamagedProgress: a file that somebody hands in is read, or refused, and never more.
func TestDamagedProgress(t *testing.T) {
	for _, text := range []string{
		`{"pulsewright_lessons":1,"lessons":{"a":null,"b":{"begun":true,"marks":{"q":null,"r":{"state":"right"}}}}}`,
		`{"pulsewright_lessons":1}`, `{"pulsewright_lessons":2}`, `[]`, ``, `{"pulsewright_lessons":1,"lessons":{"b":{"marks":3}}}`,
	} {
		path := filepath.Join(t.TempDir(), "bo.json")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		p, err := Load(path)
		if err != nil {
			continue
		}
		s := NewSheet()
		s.Add("bo", p)
		s.Text(io.Discard, 80)
		if err := s.CSV(io.Discard); err != nil {
			t.Error(err)
		}
	}
}

// TestLent: of progress that was lent, only what was done in one lesson is taken back.
func TestLent(t *testing.T) {
	p, dir := progress(t), t.TempDir()
	p.of("theirs").Begun, p.of("ticks").At = true, "one"
	lent := filepath.Join(dir, "lent", "lessons.json")
	if err := p.Lend(lent); err != nil {
		t.Fatal(err)
	}
	q, err := Load(lent)
	if err != nil || !q.Lessons["theirs"].Begun {
		t.Fatal(q, err)
	}
	q.of("theirs").Done, q.of("ticks").At, q.of("news").Done = true, "two", true
	if err := q.Save(); err != nil {
		t.Fatal(err)
	}
	if err := p.Fetch("theirs", lent); err != nil {
		t.Fatal(err)
	}
	if p, err = Load(p.Path()); err != nil || !p.Lessons["theirs"].Done || p.Lessons["ticks"].At != "one" || p.Lessons["news"] != nil {
		t.Errorf("%v, %v", p.Lessons, err)
	}
	if err := p.Fetch("theirs", filepath.Join(dir, "nowhere")); err != nil {
		t.Error(err)
	}
}
