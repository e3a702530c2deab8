package lang

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// The results of tests as JSON Lines: the first line names format, version and seed; then one line a test, in the order in which they
// ran; the last line counts. A file that cannot be read as a script is a line without "test".

type testHead struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	Seed    int64  `json:"seed"`
}

type testLine struct {
	File    string  `json:"file"`
	Test    string  `json:"test,omitempty"`
	Passed  bool    `json:"passed"`
	Where   string  `json:"where,omitempty"` // file:line:column
	Message string  `json:"message,omitempty"`
	Hint    string  `json:"hint,omitempty"`
	Got     *string `json:"got,omitempty"`
	Want    *string `json:"want,omitempty"`
}

type testCount struct {
	Passed int `json:"passed"`
	Failed int `json:"failed"`
}

func testJSON(w io.Writer, line any) {
	b, err := json.Marshal(line)
	if err != nil {
		panic(err) // structs of strings and numbers
	}
	fmt.Fprintf(w, "%s\n", b)
}

// resultLine is the line of one test; err is nil if it passed.
func resultLine(file, name string, err error) testLine {
	l := testLine{File: file, Test: name, Passed: err == nil}
	if err == nil {
		return l
	}
	l.Where, l.Message = Where(err)
	var e *Error
	if errors.As(err, &e) {
		l.Hint = e.Hint
	}
	if f, ok := failure(err); ok && (f.Got != "" || f.Want != "") {
		l.Got, l.Want = &f.Got, &f.Want
	}
	return l
}
