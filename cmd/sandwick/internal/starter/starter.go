// Package starter holds the farm folder that a new user starts from and writes
// it to disk.
package starter

import (
	"embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed farm
var farm embed.FS

// ErrNotEmpty is returned when the folder already holds something.
var ErrNotEmpty = errors.New("the folder is not empty")

// Write makes the folder dir, if need be, and writes the starting farm into
// it. It never overwrites: a dir that holds anything is ErrNotEmpty, and
// nothing is written. The names of the files written come back in order, with
// slashes, relative to dir.
func Write(dir string) (written []string, err error) {
	return write(dir, func(_ string, text []byte) ([]byte, error) { return text, nil })
}

// write writes the farm with its texts changed.
func write(dir string, change func(name string, text []byte) ([]byte, error)) (written []string, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case err == nil && len(entries) > 0:
		return nil, ErrNotEmpty
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	source, err := fs.Sub(farm, "farm")
	if err != nil {
		return nil, err
	}
	err = fs.WalkDir(source, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		path := filepath.Join(dir, filepath.FromSlash(name))
		if entry.IsDir() {
			return os.MkdirAll(path, 0o777)
		}
		data, err := fs.ReadFile(source, name)
		if err != nil {
			return err
		}
		if data, err = change(name, data); err != nil {
			return err
		}
		if err := writeNew(path, data); err != nil {
			return err
		}
		written = append(written, name)
		return nil
	})
	return written, err
}

// writeNew writes a file that must not exist yet.
func writeNew(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return errors.Join(err, f.Close())
	}
	return f.Close()
}
