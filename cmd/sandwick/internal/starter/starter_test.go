package starter

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "farm")
	written, err := Write(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"farm.toml", "zones.geojson", "weather.csv", "records/rain.csv", "records/passes.csv"} {
		if !slices.Contains(written, name) {
			t.Errorf("%s not among %v", name, written)
		}
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
	if _, err := Write(dir); !errors.Is(err, ErrNotEmpty) {
		t.Errorf("second Write: %v, want ErrNotEmpty", err)
	}
}

func TestWriteLeavesOthersFilesAlone(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "farm.toml")
	if err := os.WriteFile(path, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(dir); !errors.Is(err, ErrNotEmpty) {
		t.Errorf("got %v, want ErrNotEmpty", err)
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != "mine" {
		t.Errorf("got %q, %v", data, err)
	}
}
