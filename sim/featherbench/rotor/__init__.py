"""What rotation and air do to a blade."""
