package lang

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A script that is tried reads no tables: one that reads a table of this folder would not run anywhere else.
func TestTryReadsNoTables(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "monday.csv"), []byte("berth\n1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	for _, script := range []string{
		`read_table("monday.csv")`,
		`read_table("./monday.csv")`,
	} {
		if err := Try(t.Context(), script); err == nil || !strings.Contains(err.Error(), "no file can be read here") {
			t.Errorf("%s: %v", script, err)
		}
	}
	if err := Try(t.Context(), `delay((0, 0), "+x")`); err != nil {
		t.Error(err)
	}
}
