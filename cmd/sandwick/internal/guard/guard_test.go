package guard

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"
)

func TestPassphraseFile(t *testing.T) {
	for _, text := range []string{"", "short", string(make([]byte, MostPassphrase+1))} {
		if _, err := NewPassphrase([]byte(text)); err == nil {
			t.Errorf("a passphrase of %d characters is taken", len(text))
		}
	}
	p, err := NewPassphrase([]byte("sand under the reeds"))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "passphrase")
	if err := p.Write(name); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(name)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file is open to others: %v %v", info.Mode(), err)
	}
	q, err := ReadPassphrase(name)
	if err != nil {
		t.Fatal(err)
	}
	// What was written is a bcrypt hash that the library itself takes.
	if err := bcrypt.CompareHashAndPassword(q.hash, []byte("sand under the reeds")); err != nil {
		t.Error(err)
	}
	if err := p.Write(name); err == nil {
		t.Error("a passphrase is written over another")
	}
	for _, text := range []string{"", "x", "x y", string(q.hash), string(q.hash) + "\nshort\n"} {
		bad := filepath.Join(t.TempDir(), "bad")
		if err := os.WriteFile(bad, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadPassphrase(bad); err == nil {
			t.Errorf("%q is read as a passphrase", text)
		}
	}
}

func TestLoopback(t *testing.T) {
	for address, want := range map[string]bool{
		"127.0.0.1:80": true, "127.9.9.9:80": true, "[::1]:80": true, "localhost:80": true, "[::ffff:127.0.0.1]:80": true,
		":80": false, "0.0.0.0:80": false, "[::]:80": false, "192.168.1.2:80": false, "barn.local:80": false, "127.0.0.1.example:80": false, "127.0.0.1": false, "": false,
	} {
		if got := Loopback(address); got != want {
			t.Errorf("%q: %v", address, got)
		}
	}
}

func TestCookieRunsOut(t *testing.T) {
	g, err := New(Options{})
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2025, 7, 19, 6, 0, 0, 0, time.UTC)
	text := "name." + "abc"
	sealed := text + "." + encode(seal(g.keys.cookie, text)) // until 36#abc = 13368 s after 1970
	if _, _, ok := g.readCookie(sealed, now); ok {
		t.Error("a cookie that has run out is taken")
	}
	if id, signedIn, ok := g.readCookie(sealed, time.Unix(13367, 0)); !ok || !signedIn || id != "name" {
		t.Error("one that has not is not taken")
	}
	other, err := New(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, ok := other.readCookie(sealed, time.Unix(13367, 0)); ok {
		t.Error("another run's cookie is taken")
	}
}

func TestTriesAreForgottenInTime(t *testing.T) {
	p, err := NewPassphrase([]byte("sand under the reeds"))
	if err != nil {
		t.Fatal(err)
	}
	if p.hash, err = bcrypt.GenerateFromPassword([]byte("sand under the reeds"), bcrypt.MinCost); err != nil {
		t.Fatal(err)
	}
	var tr tries
	now := time.Date(2025, 7, 19, 6, 0, 0, 0, time.UTC)
	for i := range triesEach {
		if right, allowed := tr.try(p, "wrong", "a", now); right || !allowed {
			t.Fatalf("try %d: %v %v", i, right, allowed)
		}
	}
	if _, allowed := tr.try(p, "sand under the reeds", "a", now); allowed {
		t.Error("one more try is allowed")
	}
	if right, _ := tr.try(p, "sand under the reeds", "b", now); !right {
		t.Error("another address is locked out too")
	}
	if right, _ := tr.try(p, "sand under the reeds", "a", now.Add(triesTime+time.Second)); !right {
		t.Error("the first is locked out for ever")
	}
	long := string(make([]byte, 100000))
	if right, allowed := tr.try(p, long, "c", now.Add(triesTime+time.Second)); right || !allowed {
		t.Error("a very long passphrase")
	}
}

func FuzzOwnPlace(f *testing.F) {
	for _, s := range []string{"/", "/plan", "//x.example", "http://x.example/plan", `/\x.example`, "/plan?a=b", "/%2e%2e/plan", "javascript:alert(1)", "/plan#x"} {
		f.Add(s)
	}
	g, err := New(Options{})
	if err != nil {
		f.Fatal(err)
	}
	g.Get("/plan", func(http.ResponseWriter, *http.Request) {})
	f.Fuzz(func(t *testing.T, s string) {
		u, err := url.Parse(g.ownPlace(s))
		if err != nil || u.Scheme != "" || u.Host != "" || u.Path != "/" && u.Path != "/plan" {
			t.Errorf("%q leads to %v", s, u)
		}
	})
}
