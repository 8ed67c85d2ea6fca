"""What the doors share: files written, sheets printed, the working copy, the press run."""
