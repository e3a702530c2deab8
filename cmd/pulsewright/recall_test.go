package main

import "testing"

func TestLastArgument(t *testing.T) {
	for chunk, want := range map[string]string{
		`press("quay")`:                     `"quay"`,
		`lamp((4, 0))`:                      "(4, 0)",
		`fire(k, steps=3)`:                  "steps=3",
		`press(k); run(2)`:                  "2",
		`run()`:                             "run()",
		`x = y`:                             "y",
		`x = [1, (2, 3)]`:                   "3)]",
		`f(g(1), [a, b])`:                   "[a, b]",
		`f(",)", "(") # g(1)`:               `"("`,
		`rows[0].at(3);`:                    "3",
		`f(a,)`:                             "f(a,)",
		"def f(x):\n    return g(x, größe)": "größe",
		`f("open`:                           `f("open`,
		`)`:                                 "",
		``:                                  "",
	} {
		if got := lastArgument(chunk); got != want {
			t.Errorf("%q: got %q, want %q", chunk, got, want)
		}
	}
}
