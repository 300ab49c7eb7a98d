// The program as a function: arguments and streams in, exit status out.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"sandwick/et/input"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Exit statuses, the same for every command.
const (
	exitDone  = 0 // done
	exitNo    = 1 // the answer is "no", or the work failed
	exitUsage = 2 // the command line or an input file is wrong
)

// program is what the commands share. Nothing outlives one run.
type program struct {
	now     func() time.Time // the clock
	version func() string

	stdin  io.Reader
	stdout io.Writer // the answer, nothing else
	stderr io.Writer // everything said to a person
	common commonFlags
}

// run carries out one command line.
func (p *program) run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	p.stdin, p.stdout, p.stderr = stdin, stdout, stderr
	root := p.rootCommand()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return p.report(root.ExecuteContext(ctx))
}

const rootLong = `Sandwick reads a farm folder (settings, zone map, weather, records), keeps a daily
water balance of every zone under every slice of every circle, and says when to run
each pivot, where around the circle, how fast, and which ground to leave alone.

Commands, in the order of a season's work:
%s  sandwick completion       the names of commands, pivots and fields for your shell

The farm is the folder named by --farm, or this folder. Tables are in the farm's own
units, or in those named by --units. --json and --csv are always in SI, with the unit
at the end of each name. The answer goes to standard output, everything else to
standard error. Exit status: 0 done, 1 the answer is "no" or the work failed, 2 the
command line or an input file is wrong.`

func (p *program) rootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:     "sandwick",
		Short:   "when to run each pivot, and which ground to leave alone",
		Example: "  sandwick init myfarm\n  sandwick plan --farm myfarm",
		Version: p.version(),
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			if record, _, err := cmd.Find([]string{"record", args[0]}); err == nil && record.Name() == args[0] {
				return usage(fmt.Errorf("unknown command %q", args[0]), fmt.Sprintf("`sandwick record %s`", strings.Join(args, " ")))
			}
			return unknownName("command", args[0], commandNames(cmd))
		},
		RunE:               func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		SilenceErrors:      true,
		SilenceUsage:       true,
		DisableSuggestions: true,
	}
	root.SetVersionTemplate("sandwick {{.Version}}\n")
	root.SetFlagErrorFunc(flagError)
	p.common.define(root)
	commands := []*cobra.Command{ // in the order in which help lists them
		p.initCommand(),
		p.checkCommand(),
		p.recordCommand(),
		p.etCommand(),
		p.soilsCommand(),
		p.balanceCommand(),
		p.statusCommand(),
		p.planCommand(),
		p.serveCommand(),
		p.outlookCommand(),
		p.replayCommand(),
		p.seasonCommand(),
	}
	root.AddCommand(commands...)
	root.Long = fmt.Sprintf(rootLong, commandList(commands))
	// The list above stands for the parser's own, which knows no order but the alphabet's.
	root.SetUsageTemplate(strings.Replace(root.UsageTemplate(), "{{if .HasAvailableSubCommands}}{{$cmds", "{{if and .HasParent .HasAvailableSubCommands}}{{$cmds", 1))
	return root
}

// commandList is one line for each command: how it is called, what it answers.
func commandList(commands []*cobra.Command) string {
	var b strings.Builder
	for _, c := range commands {
		fmt.Fprintf(&b, "  sandwick %-16s %s\n", c.Use, c.Short)
	}
	return b.String()
}

// commandNames lists what can be typed after the program's name.
func commandNames(root *cobra.Command) []string {
	names := []string{}
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return names
}

// flagError turns a complaint of the flag parser into ours, with the nearest
// flag as a hint.
func flagError(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) {
		if short := unknown.GetSpecifiedShortnames(); short != "" && strings.ContainsAny(short[:1], "0123456789.,") {
			return usage(fmt.Errorf("-%s begins with a minus, and no amount here is below zero", short), "a word that begins with a minus goes after --")
		}
	}
	if errors.As(err, &unknown) && unknown.GetSpecifiedName() != "" {
		names := []string{}
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := input.Nearest(unknown.GetSpecifiedName(), names); near != "" {
			return usage(err, "did you mean --"+near+"?")
		}
	}
	return usage(err, fmt.Sprintf("`%s --help` lists the flags", cmd.CommandPath()))
}

// unknownName is the error for a name that is none of those known.
func unknownName(kind, name string, known []string) error {
	slices.Sort(known)
	hint := fmt.Sprintf("there is no other %s", kind)
	if len(known) > 0 {
		hint = "known: " + quoteList(known)
	}
	if near := input.Nearest(name, known); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	return usage(fmt.Errorf("unknown %s %q", kind, name), hint)
}

// buildVersion is what the Go tool recorded in the binary: a tag, or the commit
// it was built from.
func buildVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(no build information)"
	}
	version := info.Main.Version
	if version == "" || version == "(devel)" {
		version = "(built from source)"
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				version = s.Value
			}
		}
	}
	return version + " " + info.GoVersion
}
