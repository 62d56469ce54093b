// Command forayseq checks a mushroom club's ITS sequencing results.
package main

import (
	"os"

	"forayseq/cmd"
)

func main() { os.Exit(cmd.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
