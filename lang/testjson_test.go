package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestTestsAsJSON: every result is a line, what tests print is elsewhere, and the form is held byte for byte.
func TestTestsAsJSON(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, text := range map[string]string{
		"a_test.star": "def test_good():\n    print('said')\n    run(1)\ndef test_bad():\n    expect_equal(1, 2, \"the 'berth'\")\ndef test_none():\n    lamp((0, 0), nmae='l')\n",
		"b_test.star": "def test_c(:\n",
	} {
		if err := os.WriteFile(filepath.Join(".", name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var out, errs bytes.Buffer
	passed, failed, err := RunTests(context.Background(), Config{Out: &out, Err: &errs, Seed: 3}, nil, TestOptions{JSON: true})
	want := `{"format":"pulsewright test","version":1,"seed":3}
{"file":"a_test.star","test":"test_good","passed":true}
{"file":"a_test.star","test":"test_bad","passed":false,"where":"a_test.star:5:17","message":"expect_equal: the 'berth'","got":"1","want":"2"}
{"file":"a_test.star","test":"test_none","passed":false,"where":"a_test.star:7:9","message":"lamp: no parameter \"nmae\", want one of at on pads name; did you mean name?"}
{"file":"b_test.star","passed":false,"where":"b_test.star:1:12","message":"got ':', want ')'"}
{"passed":1,"failed":3}
`
	if out.String() != want || passed != 1 || failed != 3 || err != nil {
		t.Errorf("%d passed, %d failed, %v\n%s", passed, failed, err, out.String())
	}
	if !strings.Contains(errs.String(), "said") {
		t.Error("what a test prints is lost")
	}
	if strings.Contains(out.String(), "said") {
		t.Error("what a test prints is among the results")
	}
}
