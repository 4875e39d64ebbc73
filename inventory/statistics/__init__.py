"""Judge counts of plants: how sure a share is, what differs, what lives, how many to start.

Pure functions on plain values, without Django. Each names the source of its formula. All
of them take plants to root or die each by itself, where in truth those of one tray share a
frost: what they answer is the least doubt there is, and pages say so.
"""
