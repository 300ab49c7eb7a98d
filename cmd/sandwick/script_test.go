// The program as its users meet it: scripts under testdata/script, one file
// for each subject, named command_topic.txtar.

package main

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// updateEnv, when set, writes golden text anew instead of comparing it.
const updateEnv = "SANDWICK_UPDATE"

// nowEnv sets the clock of the program that the scripts run.
const nowEnv = "SANDWICK_TEST_NOW"

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"sandwick": func() {
			p := testProgram(time.Date(2025, 7, 19, 11, 30, 0, 0, time.UTC))
			if text := os.Getenv(nowEnv); text != "" {
				now, err := time.Parse(time.RFC3339, text)
				if err != nil {
					panic(err)
				}
				p.now = func() time.Time { return now }
			}
			os.Exit(p.run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
	})
}

// testProgram is the program with its clock stopped and its version fixed.
func testProgram(now time.Time) *program {
	return &program{
		now:     func() time.Time { return now },
		version: func() string { return "v0.0.0-test" },
	}
}

func TestScripts(t *testing.T) {
	repository, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		UpdateScripts:       os.Getenv(updateEnv) != "",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"fails": fails},
		Setup: func(env *testscript.Env) error {
			env.Setenv("DEMO", filepath.Join(repository, "testdata", "demo"))
			env.Setenv("REPOSITORY", repository)
			return nil
		},
	})
}

// fails is the script command `fails STATUS PROGRAM ARGS...`: the program must
// end with that exit status and no other.
func fails(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: fails STATUS PROGRAM [ARGS...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	if exit, ok := errors.AsType[*exec.ExitError](err); ok {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}
