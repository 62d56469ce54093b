package trace

// The fixed parts of an ABIF file: magic, version 1.01, a header of 128 bytes
// whose first directory entry, at byte 6, describes the directory.
const (
	abifMagic      = "ABIF"
	abifVersion    = 101
	abifHeaderSize = 128
	abifEntrySize  = 28
)

// channelOf gives the index of a base in Trace.Channels, -1 for another letter.
func channelOf(base byte) int {
	switch base {
	case 'A':
		return 0
	case 'C':
		return 1
	case 'G':
		return 2
	case 'T':
		return 3
	}
	return -1
}
