package lesson

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.starlark.net/starlark"
)

// reading is what was typed, in the one way in which answers are compared; false if it is no answer to this question.
func (it *Item) reading(typed string) (string, bool) {
	typed = strings.TrimSpace(strings.Trim(strings.TrimSpace(typed), "."))
	switch it.Form {
	case "number":
		n, err := strconv.ParseInt(typed, 10, 64)
		return strconv.FormatInt(n, 10), err == nil
	case "choice":
		if n, err := strconv.Atoi(typed); err == nil && n >= 1 && n <= len(it.Choices) {
			return it.Choices[n-1], true
		}
		i := slices.IndexFunc(it.Choices, func(c string) bool { return strings.EqualFold(c, typed) })
		if i < 0 {
			return "", false
		}
		return it.Choices[i], true
	case "part":
		typed = strings.Trim(typed, `"'`)
		return typed, typed != "" && !strings.ContainsAny(typed, " ,")
	}
	names := strings.FieldsFunc(typed, func(r rune) bool { return strings.ContainsRune(` ,"'[]()`, r) })
	return strings.Join(names, ", "), len(names) > 1
}

// wanted says what can be typed.
func (it *Item) wanted() string {
	switch it.Form {
	case "number":
		return "a whole number"
	case "choice":
		return fmt.Sprintf("a number from 1 to %d", len(it.Choices))
	case "part":
		return "the name of a part"
	}
	return "names, in order, with commas between"
}

// plain is a value that an answer function, or the key of a slip, gives, as somebody would type it.
func plain(v starlark.Value) string {
	if s, ok := starlark.AsString(v); ok {
		return s
	}
	if list, ok := v.(starlark.Iterable); ok {
		var out []string
		for x := range starlark.Elements(list) {
			out = append(out, plain(x))
		}
		return strings.Join(out, ", ")
	}
	if p, ok := v.(starlark.HasAttrs); ok { // a part
		if name, err := p.Attr("name"); err == nil && name != nil {
			return plain(name)
		}
	}
	return v.String()
}
