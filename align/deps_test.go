package align

import (
	_ "github.com/biogo/biogo/align"
	_ "github.com/stretchr/testify/require"
)
