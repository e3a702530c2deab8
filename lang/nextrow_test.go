package lang

import "testing"

func TestNextRow(t *testing.T) {
	for src, want := range map[string]string{
		"def f():":                              "    ",
		"def f():  # why":                       "    ",
		"def f():\n    if x:":                   "        ",
		"def f():\n    x = 1":                   "    ",
		"def f():\n    x = 1  # (":              "    ",
		"def f():\n    # why":                   "    ",
		"def f():\n    x = 1\n":                 "",
		"def f():\n    x = 1\n    ":             "    ",
		"def f():\n    return 1":                "",
		"for i in x:\n    if i:\n        break": "    ",
		"f(":                                    "    ",
		"f(1,\n  2":                             "  ",
		"def f():\n    x = 1 + \\":              "    ",
		"def f():\n    x = 1 + \\\n  2":         "    ",

		// Inside a long string, every blank counts.
		"x = '''a":                        "",
		"x = sketch(r\"\"\"\n   K":        "",
		"def f():\n    x = '''a:\n    b(": "",

		// Behind one, and behind a closed bracket, the first row of the statement counts.
		"def f():\n    d = r\"\"\"\n  K w\n\"\"\"":                             "    ",
		"def f():\n    sketch(r\"\"\"\n  K w\n\"\"\", at=(0, 0))":              "    ",
		"def f():\n    '''What it\n  does.\n'''":                               "    ",
		"def f():\n    x = g(\n        1,\n        2)":                         "    ",
		"def f():\n    x = [\n        1,\n]":                                   "    ",
		"def f():\n    return g(\n        1)":                                  "",
		"def f():\n    if g(\n  1):":                                           "        ",
		"def f():\n    for d in r\"\"\"\n:\n\"\"\".split():":                   "        ",
		"def f():\n    d = r\"\"\"\n  K w\n\"\"\"\n    run()\n    for x in y:": "        ",

		// While a bracket is open, the row above counts, or the one in which its string began.
		"f('''a\n  b''',": "",
		"def f():\n    sketch(r\"\"\"\n  K w\n\"\"\",":                    "    ",
		"def f():\n    sketch(r\"\"\"\n  K w\n\"\"\", {":                  "        ",
		"def f():\n    sketch(r\"\"\"\n  K w\n\"\"\", {\n        'K': 1,": "        ",
	} {
		if got := NextRow(src); got != want {
			t.Errorf("NextRow(%q) = %q, want %q", src, got, want)
		}
	}
}
