// The last rows of a farm's tables, for questions about the newest of them only.

package fields

import (
	"bytes"
	"io"
	"io/fs"
	"path"

	"sandwick/et/input"
)

// How much is read of a table's beginning, for its header, and of its end.
const (
	headerBytes = 32 << 10
	newestBytes = 8 << 10
)

// newest is a farm folder whose tables have their header and their last rows, so
// that it takes no longer to read those of many years than those of one.
type newest struct {
	fs.FS
	skip int // lines before the header of weather.csv
}

// Open implements fs.FS.
func (n newest) Open(name string) (fs.File, error) {
	f, err := n.FS.Open(name)
	if err != nil || path.Ext(name) != ".csv" {
		return f, err
	}
	info, err := f.Stat()
	at, ok := f.(io.ReaderAt)
	if err != nil || !ok || info.Size() <= headerBytes+newestBytes {
		return f, nil
	}
	defer f.Close()
	head, end := make([]byte, headerBytes), make([]byte, newestBytes)
	if _, err := at.ReadAt(head, 0); err != nil {
		return nil, err
	}
	if _, err := at.ReadAt(end, info.Size()-newestBytes); err != nil {
		return nil, err
	}
	lines := 0
	if name == WeatherFile {
		for range n.skip {
			lines += bytes.IndexByte(head[lines:], '\n') + 1
		}
	}
	lines += len(input.HeaderLine(head[lines:]))
	_, end, _ = bytes.Cut(end, []byte{'\n'}) // the first may not be whole
	return &rows{bytes.NewReader(append(head[:lines:lines], end...)), info}, nil
}

// rows is a table that was read.
type rows struct {
	*bytes.Reader
	info fs.FileInfo
}

// Stat implements fs.File.
func (r *rows) Stat() (fs.FileInfo, error) { return r.info, nil }

// Close implements fs.File.
func (r *rows) Close() error { return nil }
