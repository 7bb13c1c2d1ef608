"""Made-up installations for a drill: what is at work there, what fits it, what is told of it, and the code that stands for one."""
