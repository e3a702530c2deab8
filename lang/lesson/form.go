package lesson

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"pulsewright/lang"

	"go.starlark.net/starlark"
)

// Lesson is a lesson as its file tells it.
type Lesson struct {
	Name    string // by which it is asked for: its file without the ending
	Title   string
	About   string // one sentence
	Minutes int    // about how long it takes
	Items   []Item
}

// Item is one thing of a lesson. What else is set goes by the kind.
type Item struct {
	Kind    Kind
	Text    string   // Say: paragraphs; questions: what is asked
	Code    string   // Show; Predict: what runs after the prediction; Exercise: what the learner finds
	Hidden  bool     // Show, Exercise: the code runs unseen
	Picture string   // Show: "map", "scope" or ""
	Key     string   // questions: under which the answer is kept
	Hints   []string // questions
	Where   string   // file:line of the item, for errors

	// Predict
	Form    string // "number", "part", "order" or "choice"
	Choices []string
	Why     string            // code that explains it
	Slips   map[string]string // what is said of a foreseen wrong prediction, by its text
	Answer  starlark.Callable // answer(names), on the bench after the code ran

	// Exercise
	Verdict   starlark.Callable // check(names): what is missing, in words; None if nothing
	Right     string            // what is said once it passes
	Solutions []string
	Wrong     [][2]string // code that must not pass, and a piece of what is said of it
}

// Kind is what an item is.
type Kind uint8

const (
	Say Kind = iota
	Show
	Predict
	Exercise
)

// IsQuestion reports whether a learner has to answer.
func (it *Item) IsQuestion() bool { return it.Kind >= Predict }

// Questions are the numbers of the items that ask something.
func (l *Lesson) Questions() (at []int) {
	for i := range l.Items {
		if l.Items[i].IsQuestion() {
			at = append(at, i)
		}
	}
	return at
}

var forms = []string{"number", "part", "order", "choice"}

// writer collects what a file tells.
type writer struct {
	l    *Lesson
	seen map[string]bool // keys
}

// Read reads a lesson. run executes its file in the session it is given, such as (*lang.Session).ExecFile.
func Read(ctx context.Context, name string, cfg lang.Config, run func(context.Context, *lang.Session) error) (*Lesson, error) {
	w := &writer{l: &Lesson{Name: name}, seen: map[string]bool{}}
	cfg.Words = starlark.StringDict{}
	for name, f := range map[string]func(*starlark.Builtin, starlark.Tuple, []starlark.Tuple) (*Item, error){
		"lesson": w.lesson, "say": w.say, "show": w.show, "predict": w.predict, "exercise": w.exercise,
	} {
		cfg.Words[name] = starlark.NewBuiltin(name, func(t *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
			it, err := f(b, args, kw)
			if err != nil || it == nil {
				return starlark.None, err
			}
			if w.l.Title == "" {
				return nil, fmt.Errorf("%s: a lesson begins with lesson(title, minutes)", b.Name())
			}
			p := t.CallFrame(1).Pos
			it.Where = fmt.Sprintf("%s:%d", p.Filename(), p.Line)
			w.l.Items = append(w.l.Items, *it)
			return starlark.None, nil
		})
	}
	s, err := lang.New(cfg)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	if err := run(ctx, s); err != nil {
		s.Report(err)
		return nil, err
	}
	if w.l.Title == "" {
		return nil, fmt.Errorf("%s is no lesson: it does not say lesson(title, minutes)", name)
	}
	if len(w.l.Questions()) == 0 {
		return nil, fmt.Errorf("%s asks nothing: a lesson has at least one predict or exercise", name)
	}
	return w.l, nil
}

func (w *writer) lesson(b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (*Item, error) {
	if w.l.Title != "" {
		return nil, fmt.Errorf("lesson: this lesson has its title already")
	}
	if err := starlark.UnpackArgs("lesson", args, kw, "title", &w.l.Title, "minutes", &w.l.Minutes, "about?", &w.l.About); err != nil {
		return nil, err
	}
	switch {
	case strings.TrimSpace(w.l.Title) == "":
		return nil, fmt.Errorf("lesson: title is empty")
	case w.l.Minutes < 1 || w.l.Minutes > 60:
		return nil, fmt.Errorf("lesson: minutes must be from 1 to 60, got %d", w.l.Minutes)
	}
	return nil, nil
}

func (w *writer) say(b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (*Item, error) {
	it := &Item{Kind: Say}
	if err := starlark.UnpackArgs("say", args, kw, "text", &it.Text); err != nil {
		return nil, err
	}
	if it.Text = tidy(it.Text); it.Text == "" {
		return nil, fmt.Errorf("say: text is empty")
	}
	return it, nil
}

func (w *writer) show(b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (*Item, error) {
	it := &Item{Kind: Show}
	if err := starlark.UnpackArgs("show", args, kw, "code", &it.Code, "picture?", &it.Picture, "hidden?", &it.Hidden); err != nil {
		return nil, err
	}
	it.Code = dedent(it.Code)
	if !slices.Contains([]string{"", "map", "scope"}, it.Picture) {
		return nil, fmt.Errorf("show: picture must be %q or %q, got %q", "map", "scope", it.Picture)
	}
	return it, nil
}

func (w *writer) predict(b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (*Item, error) {
	it := &Item{Kind: Predict, Form: "number", Slips: map[string]string{}}
	var choices, hints *starlark.List
	var slips *starlark.Dict
	var answer starlark.Value
	if err := starlark.UnpackArgs("predict", args, kw, "question", &it.Text, "code", &it.Code, "answer", &answer, "form?", &it.Form,
		"choices?", &choices, "why?", &it.Why, "slips?", &slips, "hints?", &hints, "key?", &it.Key); err != nil {
		return nil, err
	}
	it.Code, it.Why = dedent(it.Code), dedent(it.Why)
	var err error
	if it.Answer, err = function("predict", "answer", answer, "what happened"); err != nil {
		return nil, err
	}
	if it.Choices, err = texts("predict", "choices", choices); err != nil {
		return nil, err
	}
	if len(it.Choices) > 0 {
		it.Form = "choice"
	}
	switch {
	case !slices.Contains(forms, it.Form):
		return nil, fmt.Errorf("predict: form must be one of %s, got %q", strings.Join(forms, ", "), it.Form)
	case it.Form == "choice" && len(it.Choices) < 2:
		return nil, fmt.Errorf("predict: a choice needs at least two choices")
	}
	if slips != nil {
		for _, kv := range slips.Items() {
			said, ok := starlark.AsString(kv[1])
			given, good := it.reading(plain(kv[0]))
			if !ok || !good {
				return nil, fmt.Errorf("predict: slips tells what is said of a wrong %s, by that %s; got %s", it.Form, it.Form, kv[0])
			}
			it.Slips[given] = tidy(said)
		}
	}
	return w.question(it, hints)
}

func (w *writer) exercise(b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (*Item, error) {
	it := &Item{Kind: Exercise}
	var solutions, wrong, hints *starlark.List
	var verdict starlark.Value
	if err := starlark.UnpackArgs("exercise", args, kw, "task", &it.Text, "check", &verdict, "solutions", &solutions, "start?", &it.Code,
		"hidden?", &it.Hidden, "wrong?", &wrong, "hints?", &hints, "right?", &it.Right, "key?", &it.Key); err != nil {
		return nil, err
	}
	it.Code, it.Right = dedent(it.Code), tidy(it.Right)
	var err error
	if it.Verdict, err = function("exercise", "check", verdict, "None or what is missing"); err != nil {
		return nil, err
	}
	if it.Solutions, err = texts("exercise", "solutions", solutions); err != nil {
		return nil, err
	}
	if len(it.Solutions) == 0 {
		return nil, fmt.Errorf("exercise: solutions must hold at least one")
	}
	for i := range it.Solutions {
		it.Solutions[i] = dedent(it.Solutions[i])
	}
	if wrong != nil {
		for v := range wrong.Elements() {
			pair, ok := v.(starlark.Tuple)
			if !ok || len(pair) != 2 {
				return nil, fmt.Errorf("exercise: wrong holds pairs (code, what is said of it), got %s", v.Type())
			}
			code, ok1 := starlark.AsString(pair[0])
			said, ok2 := starlark.AsString(pair[1])
			if !ok1 || !ok2 || said == "" {
				return nil, fmt.Errorf("exercise: wrong holds pairs of texts (code, what is said of it)")
			}
			it.Wrong = append(it.Wrong, [2]string{dedent(code), said})
		}
	}
	return w.question(it, hints)
}

// question is what predict and exercise have in common.
func (w *writer) question(it *Item, hints *starlark.List) (_ *Item, err error) {
	name := []string{Predict: "predict", Exercise: "exercise"}[it.Kind]
	if it.Text = tidy(it.Text); it.Text == "" {
		return nil, fmt.Errorf("%s: there is no question", name)
	}
	if it.Hints, err = texts(name, "hints", hints); err != nil {
		return nil, err
	}
	for i := range it.Hints {
		it.Hints[i] = tidy(it.Hints[i])
	}
	if it.Key == "" {
		it.Key = fmt.Sprint("question ", len(w.l.Questions())+1)
	}
	if w.seen[it.Key] {
		return nil, fmt.Errorf("%s: there are two questions with the key %q", name, it.Key)
	}
	w.seen[it.Key] = true
	return it, nil
}

// function is an argument that is asked later.
func function(word, param string, v starlark.Value, gives string) (starlark.Callable, error) {
	f, ok := v.(starlark.Callable)
	if !ok {
		return nil, fmt.Errorf("%s: %s is a function that is given the names and gives %s, such as lambda names: ...; got %s", word, param, gives, v)
	}
	return f, nil
}

func texts(word, param string, list *starlark.List) (out []string, err error) {
	if list == nil {
		return nil, nil
	}
	for v := range list.Elements() {
		s, ok := starlark.AsString(v)
		if !ok || strings.TrimSpace(s) == "" {
			return nil, fmt.Errorf("%s: %s holds texts, got %s", word, param, v)
		}
		out = append(out, s)
	}
	return out, nil
}

// tidy is a text of paragraphs, a line each.
func tidy(text string) string {
	var out []string
	for para := range strings.SplitSeq(dedent(text), "\n\n") {
		if para = strings.Join(strings.Fields(para), " "); para != "" {
			out = append(out, para)
		}
	}
	return strings.Join(out, "\n\n")
}

// dedent takes away the blanks that all lines begin with, and empty lines around.
func dedent(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\t", "    "), "\n")
	least := -1
	for i, line := range lines {
		lines[i] = strings.TrimRight(line, " ")
		if n := len(line) - len(strings.TrimLeft(line, " ")); lines[i] != "" && (least < 0 || n < least) {
			least = n
		}
	}
	for i, line := range lines {
		if n := len(line) - len(strings.TrimLeft(line, " ")); line != "" {
			lines[i] = line[min(n, max(least, 0)):]
		}
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n")
}
