package help

import (
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"

	"pulsewright/builtins"
	"pulsewright/builtins/inspect"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

func helpWords() []builtins.Entry {
	return []builtins.Entry{{Name: "help", Topic: "help", Sentence: "Explains a word, a topic, a term such as \"armed\", or anything you have; help() says how to begin.",
		Params:  []builtins.Param{{Name: "about", Type: "value", Default: "None", Optional: true, Doc: "a word such as fire or \"fire\", a topic such as \"placing\", a term of the glossary such as \"armed\", or a function or a kind of your own, by its name or itself: then its docstring"}},
		Example: "help()\nhelp(fire)\nhelp(\"placing\")", See: []string{"parts"}, Call: help}}
}

func help(c *builtins.Call) (starlark.Value, error) {
	text, err := On(c.Env, c.Value("about"))
	if err != nil {
		return nil, c.Wrap(err)
	}
	c.Env.Print(text)
	return nil, nil
}

// On explains a value: a word (itself or as a string), a topic, a function of the script, or any other value by its
// type. nil or None lists the topics. The text ends without a newline.
func On(e *builtins.Env, about starlark.Value) (string, error) {
	switch v := about.(type) {
	case nil, starlark.NoneType:
		return startHelp(e), nil
	case starlark.String:
		return wordHelp(e, string(v))
	case *starlark.Builtin:
		name := v.Name()
		if entry, ok := builtins.Lookup(WordOf(v)); ok {
			return entryHelp(e, entry, nil), nil
		}
		if t, ok := lookupTerm(name); ok {
			return termHelp(e, t), nil
		}
		return name + " belongs to the language itself", nil
	case *builtins.OwnKind:
		return ownHelp(e, v, nil), nil
	case *starlark.Function:
		return functionHelp(e, v), nil
	case *starlarkstruct.Module:
		return "module " + v.Name + ": " + strings.Join(v.AttrNames(), " "), nil
	}
	s := describeValue(about)
	if has, ok := about.(starlark.HasAttrs); ok {
		s += "\n" + e.Wrap("it has ."+strings.Join(has.AttrNames(), " ."), "  ")
	}
	// A part is explained by the word that places its kind.
	if p, ok := about.(builtins.Part); ok && p.Valid() {
		if t := builtins.OwnKindOf(p.Bench, p.ID); t != nil {
			return s + "\n\n" + ownHelp(e, t, inspect.FactsOf(e, p)), nil
		}
		if entry, ok := builtins.Lookup(p.Bench.KindOf(p.ID).String()); ok {
			s += "\n\n" + entryHelp(e, entry, partFacts(e, p))
		}
	}
	return s, nil
}

// WordOf is the name a builtin has in the table of words.
func WordOf(b *starlark.Builtin) string {
	if _, ok := b.Receiver().(*builtins.Frame); ok {
		return "frame." + b.Name()
	}
	return b.Name()
}

func describeValue(v starlark.Value) string {
	s := v.String()
	if len(s) > 60 || strings.Contains(s, "\n") {
		return say.Article(v.Type())
	}
	return say.Article(v.Type()) + ": " + s
}

// wordHelp explains a name: as a function or a kind of the script's own, or else a word of the language; as a topic, as a term of the glossary, or as
// several of these.
func wordHelp(e *builtins.Env, name string) (string, error) {
	var found []string
	own := starlark.StringDict{}
	if e.Own != nil {
		own = e.Own()
	}
	if v, ok := own[name]; ok {
		text, err := On(e, v)
		if err != nil {
			return "", err
		}
		found = append(found, text)
	} else if entry, ok := builtins.Lookup(name); ok {
		found = append(found, entryHelp(e, entry, nil))
	}
	if slices.Contains(builtins.WordTopics(), name) {
		found = append(found, e.Paint.Apply(say.Title, "topic")+" "+topicHelp(e, name))
	}
	if t, ok := lookupTerm(name); ok {
		found = append(found, termHelp(e, t))
	}
	if name == builtins.GlossaryTopic {
		found = append(found, glossaryHelp(e))
	}
	if e.Bench != nil {
		for _, s := range e.Bench.Specs() {
			if k := s.Aside.(*builtins.OwnKind); s.Name == name && own[name] != k {
				found = append(found, ownHelp(e, k, nil))
			}
		}
		if id, ok := e.Bench.Lookup(name); ok && len(found) == 0 {
			return On(e, builtins.PartValue(e.Bench, id))
		}
	}
	if len(found) > 0 {
		return strings.Join(found, "\n\n"), nil
	}
	names := append(append(append(own.Keys(), builtins.WordTopics()...), builtins.GlossaryTopic), termNames()...)
	for _, w := range builtins.Entries() {
		names = append(names, w.Name)
	}
	return "", fmt.Errorf("no word, topic or term %q%s", name, say.DidYouMean(name, names))
}

// topicHelp lists the words of a topic with what they do.
func topicHelp(e *builtins.Env, topic string) string {
	var s strings.Builder
	s.WriteString(e.Paint.Apply(say.Title, topic))
	for _, w := range builtins.Entries() {
		if w.Topic == topic {
			s.WriteString("\n" + e.Paint.Apply(say.Word, w.Usage()) + "\n" + e.Wrap(w.Sentence, "    "))
		}
	}
	return s.String()
}

// entryHelp explains a word. facts are those on the part that was asked about; nil: those on the kind that the word places.
func entryHelp(e *builtins.Env, w builtins.Entry, facts []inspect.Fact) string {
	var s strings.Builder
	usages := w.Forms
	if len(usages) == 0 {
		usages = []string{w.Usage()}
	}
	for _, u := range usages {
		s.WriteString(paintEach(e, e.Wrap(u, ""), say.Word) + "\n")
	}
	if w.Places != engine.Bare {
		s.WriteString(e.Wrap("or without a cell, to be joined by patch(): "+shelved(w), "") + "\n")
	}
	s.WriteString(e.Wrap(w.Sentence, "") + "\n")
	if len(w.Params) > 0 {
		s.WriteString("\n")
	}
	wide := 0
	for _, p := range w.Params {
		wide = max(wide, len(p.Name))
	}
	for _, p := range w.Params {
		s.WriteString("  " + e.Paint.Apply(say.Name, say.Align(p.Name, wide, "left", " ")) + "  ")
		indent := strings.Repeat(" ", wide+4)
		s.WriteString(strings.TrimPrefix(e.Wrap(explain(e, p), indent), indent) + "\n")
	}
	if w.Places != engine.Bare {
		title := "this " + w.Name
		if facts == nil && w.Places == engine.Told {
			title = ""
		} else if facts == nil {
			title, facts = "cells", kindFacts(w.Places)
		}
		if title != "" {
			s.WriteString(factsHelp(e, title, facts))
		}
	}
	if w.Returns != "" {
		s.WriteString("\n" + e.Wrap("gives "+w.Returns, "") + "\n")
	}
	if w.Example != "" {
		s.WriteString("\n" + e.Paint.Apply(say.Title, "example") + "\n")
		for line := range strings.SplitSeq(w.Example, "\n") {
			s.WriteString(strings.TrimRight("    "+e.Paint.Apply(say.Word, line), " ") + "\n")
		}
	}
	if len(w.See) > 0 {
		s.WriteString("\n" + e.Paint.Apply(say.Title, "see also") + " " + strings.Join(w.See, " ") + "\n")
	}
	return strings.TrimSuffix(s.String(), "\n")
}

// shelved is how a part is placed on the shelf: with what it cannot do without, but no cell and no facing.
func shelved(w builtins.Entry) string {
	var ps []string
	for _, p := range w.Params {
		if !p.Optional {
			ps = append(ps, p.Name+"=...")
		}
	}
	return w.Name + "(" + strings.Join(ps, ", ") + ")"
}

// explain is what help says of a parameter: what it takes, in which unit, its default, what it is for.
func explain(e *builtins.Env, p builtins.Param) string {
	kind := p.Type
	if p.Unit != "" && p.Unit != kind+"s" {
		kind += ", in " + p.Unit
	}
	if len(p.Allowed) > 0 {
		kind += ": " + strings.Join(p.Allowed, " ")
	}
	s := "(" + kind + ") " + p.Doc
	if p.Default != "" && p.Default != "None" && !p.Variadic {
		s += "; default " + p.Default
	}
	if p.Now != nil {
		s += "; at present " + p.Now(e)
	}
	return s
}

// functionHelp is the signature and docstring of a function of the user's.
func functionHelp(e *builtins.Env, f *starlark.Function) string {
	s := e.Paint.Apply(say.Word, Signature(f))
	if doc := dedent(f.Doc()); doc != "" {
		return s + "\n" + doc
	}
	return s + "\n" + e.Wrap("(no docstring: a string as the first line of the function would stand here)", "")
}

// Signature is how a function of the user's is called: mast(frame, n=5, *rest).
func Signature(f *starlark.Function) string {
	var ps []string
	n, extra := f.NumParams(), 0
	if f.HasVarargs() {
		extra++
	}
	if f.HasKwargs() {
		extra++
	}
	positional := n - extra - f.NumKwonlyParams()
	param := func(i int) string {
		name, _ := f.Param(i)
		if d := f.ParamDefault(i); d != nil {
			name += "=" + d.String()
		}
		return name
	}
	for i := range positional {
		ps = append(ps, param(i))
	}
	if f.HasVarargs() {
		name, _ := f.Param(positional + f.NumKwonlyParams())
		ps = append(ps, "*"+name)
	} else if f.NumKwonlyParams() > 0 {
		ps = append(ps, "*")
	}
	for i := range f.NumKwonlyParams() {
		ps = append(ps, param(positional+i))
	}
	if f.HasKwargs() {
		name, _ := f.Param(n - 1)
		ps = append(ps, "**"+name)
	}
	return f.Name() + "(" + strings.Join(ps, ", ") + ")"
}

// dedent takes the indentation that all lines but the first share from a docstring.
func dedent(doc string) string {
	lines := strings.Split(strings.TrimSpace(doc), "\n")
	common := -1
	for _, l := range lines[1:] {
		if rest := strings.TrimLeft(l, " \t"); rest != "" && (common < 0 || len(l)-len(rest) < common) {
			common = len(l) - len(rest)
		}
	}
	for i, l := range lines {
		if i > 0 && common > 0 {
			l = l[min(common, len(l)):]
		}
		lines[i] = strings.TrimRight(say.OneLine(l), " ")
	}
	return strings.Join(lines, "\n")
}

func paintEach(e *builtins.Env, text string, style say.Style) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		lines[i] = e.Paint.Apply(style, l)
	}
	return strings.Join(lines, "\n")
}
