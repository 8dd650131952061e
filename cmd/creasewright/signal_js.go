package main

import "os"

// hangupSignals is empty: there is no terminal whose end is told.
var hangupSignals []os.Signal
