package fields

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandwick/et/input"
	"sandwick/fields/zonemap"
)

// copyDemo is a copy of the demo farm that may be changed.
func copyDemo(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// A map is saved only whole, sound, fitting the records, and in the place of the
// one it was made from.
func TestSaveZones(t *testing.T) {
	dir := copyDemo(t)
	z, problems := OpenZoning(dir)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	saved := func() string {
		text, err := os.ReadFile(filepath.Join(dir, zonemap.File))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	old, was := saved(), z.Tag()
	for name, c := range map[string]struct{ text, want string }{
		"not JSON":                {"{", "not readable as JSON"},
		"an unknown soil":         {strings.Replace(old, `"soil": "reed loamy sand"`, `"soil": "loam"`, 1), "no soil has this name"},
		"a zone with readings":    {strings.ReplaceAll(old, `"zone": "Heron swale"`, `"zone": "Heron hollow"`), "Heron swale"},
		"a field without any map": {strings.ReplaceAll(old, `"field": "Plover`, `"field": "Bittern`), ""},
	} {
		err := z.Save(context.Background(), was, []byte(c.text))
		var list input.Problems
		if !errors.As(err, &list) || !strings.Contains(list.Error(), c.want) {
			t.Errorf("%s: saving gives %v, want problems with %q", name, err, c.want)
		}
		if saved() != old {
			t.Fatalf("%s: the map was changed", name)
		}
	}
	next := strings.Replace(old, `"water_table_ft": 2.5`, `"water_table_ft": 2.4`, 1)
	if next == old {
		t.Fatal("the demo's map has no water table of 2.5 ft any more")
	}
	if err := z.Save(context.Background(), was, []byte(next)); err != nil || saved() != next {
		t.Errorf("saving a sound map: %v", err)
	}
	if err := z.Save(context.Background(), was, []byte(old)); !errors.Is(err, ErrMapChanged) {
		t.Errorf("saving over a map of somebody else gives %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.new")); len(left) > 0 {
		t.Errorf("left aside: %q", left)
	}
}

// A broken map can be mended, and a missing one made.
func TestMendZones(t *testing.T) {
	dir := copyDemo(t)
	name := filepath.Join(dir, zonemap.File)
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, make := range []func() error{
		func() error { return os.WriteFile(name, bytes.TrimSpace(good)[1:], 0o644) },
		func() error { return os.Remove(name) },
	} {
		if err := make(); err != nil {
			t.Fatal(err)
		}
		z, problems := OpenZoning(dir)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if err := z.Save(context.Background(), z.Tag(), good); err != nil {
			t.Error(err)
		}
		if _, problems := Load(dir); len(problems) > 0 {
			t.Error(problems)
		}
	}
}
