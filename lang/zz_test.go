package lang
import ("testing";"context")
func TestZZ(t *testing.T){ s:=newSession(t,Config{}); s.Command(context.Background(),"def deep(n): return deep(n + 1)"); s.Command(context.Background(),"deep(0)") }
